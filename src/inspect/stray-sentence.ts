import type { Heard, HeardEpoch } from '../grammar/heard-epoch.js';

/** The first sentence of an epoch whose time of day is not the epoch's; null: they agree. */
export function straySentence({ sentences, timeOfDayMs }: HeardEpoch): Heard | null {
  for (let i = 0; i < sentences.length; i++) {
    const heard = sentences[i] as Heard;
    const { decoded } = heard;
    if (decoded === null || !('timeOfDayMs' in decoded) || decoded.timeOfDayMs === null) continue;
    if (decoded.timeOfDayMs !== timeOfDayMs) return heard;
  }
  return null;
}
