import { printable } from '../base/visible.js';
import type { SentenceRecord } from '../truth/journal-record.js';

/** What went out of a sentence, a character a byte (latin1), with its line end. */
export function sentBytesOf({ text, sentBase64 }: SentenceRecord): string {
  return sentBase64 === undefined ? `${text}\r\n` : atob(sentBase64);
}

/** The same as a line to be read: without CR LF, and what cannot be printed as `\x07`. */
export function sentTextOf(sentence: SentenceRecord): string {
  return printable(sentBytesOf(sentence).replace(/\r\n$/, ''));
}
