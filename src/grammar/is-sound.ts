import type { Heard } from './heard-epoch.js';

/** Whether a sentence is as it was sent: its checksum is right, or it has none and its line has an end. */
export function isSound({ piece, sentence }: Heard): boolean {
  return sentence.checksum === 'good' || (sentence.checksum === 'absent' && piece.ending !== '');
}
