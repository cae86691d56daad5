import { counted } from '../../base/words.js';
import type { FixPart, Item, Occurrence } from '../inspect-report.js';
import type { Section } from '../section.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { lasting, percent } from './words.js';

/**
 * A modern module has its first fix in less than 35 s from a cold start, a survey receiver in less than 3 min
 * (typical figures of data sheets, second hand), s.
 */
const USUAL_FIRST_FIX_S = 35;
const SLOWEST_FIRST_FIX_S = 180;

/** Share of the epochs with a fix, from the first one on (common practice). */
const GOOD_SHARE = 0.99;
const LEAST_SHARE = 0.9;

/** When the first fix came, and how often there was one. */
export class FixSection implements Section<FixPart> {
  readonly #clock: StreamClock;
  #epochs = 0;
  #known = 0;
  #valid = 0;
  #validBefore: boolean | null = null;
  #firstFix: { tS: number; at: Occurrence; knownBefore: number } | null = null;
  #losses = 0;
  #lostSinceS: number | null = null;
  #longestLossS: number | null = null;
  #lastS = 0;
  readonly #qualities: Record<string, number> = {};
  readonly #types: Record<string, number> = {};

  constructor(clock: StreamClock) {
    this.#clock = clock;
  }

  epoch({ epoch, tS, piece }: TimedEpoch): void {
    this.#epochs += 1;
    this.#lastS = tS;
    if (epoch.quality !== null) this.#qualities[epoch.quality] = (this.#qualities[epoch.quality] ?? 0) + 1;
    if (epoch.fix !== null) this.#types[epoch.fix] = (this.#types[epoch.fix] ?? 0) + 1;
    const { isValid } = epoch;
    if (isValid === null) return;
    if (isValid) {
      this.#firstFix ??= { tS, at: this.#clock.occurrence(piece, epoch), knownBefore: this.#known };
      this.#valid += 1;
      if (this.#lostSinceS !== null) this.#longestLossS = Math.max(this.#longestLossS ?? 0, tS - this.#lostSinceS);
      this.#lostSinceS = null;
    } else if (this.#validBefore === true) {
      this.#losses += 1;
      this.#lostSinceS = tS;
    }
    this.#known += 1;
    this.#validBefore = isValid;
  }

  finish(): { part: FixPart; items: Item[] } {
    if (this.#lostSinceS !== null) {
      this.#longestLossS = Math.max(this.#longestLossS ?? 0, this.#lastS - this.#lostSinceS);
    }
    const first = this.#firstFix;
    const part: FixPart = {
      epochs: this.#epochs,
      validEpochs: this.#valid,
      validShare: this.#known === 0 ? null : this.#valid / this.#known,
      firstFixS: first?.tS ?? null,
      firstFixAt: first?.at ?? null,
      losses: this.#losses,
      longestLossS: this.#longestLossS,
      qualities: this.#qualities,
      types: this.#types,
    };
    return { part, items: [this.#firstItem(part), this.#shareItem(part)] };
  }

  #firstItem({ firstFixS, firstFixAt, validShare }: FixPart): Item {
    const key = 'first-fix';
    const title = 'First fix';
    if (validShare === null) return { key, title, verdict: 'untested', reason: 'no sentence tells of a fix' };
    if (firstFixS === null || firstFixAt === null) {
      const reason = `none in ${counted(this.#known, 'epoch')}, ${lasting(this.#lastS)}`;
      // A cold start may still be under way.
      if ((this.#lastS ?? 0) < USUAL_FIRST_FIX_S) {
        const usual = `; a module in the open takes up to ${USUAL_FIRST_FIX_S} s`;
        return { key, title, verdict: 'untested', reason: `${reason}${usual}` };
      }
      return { key, title, verdict: 'bad', reason };
    }
    const where = `line ${firstFixAt.line}`;
    if (this.#firstFix?.knownBefore === 0) return { key, title, verdict: 'good', reason: `from the start, ${where}` };
    const reason = `${lasting(firstFixS)} after the start, ${where}`;
    if (firstFixS <= USUAL_FIRST_FIX_S) return { key, title, verdict: 'good', reason };
    const usual = `; a module in the open takes up to ${USUAL_FIRST_FIX_S} s`;
    return { key, title, verdict: firstFixS > SLOWEST_FIRST_FIX_S ? 'bad' : 'remark', reason: `${reason}${usual}` };
  }

  #shareItem({ validEpochs, validShare, losses, longestLossS }: FixPart): Item {
    const key = 'fix-share';
    const title = 'Fix share';
    const first = this.#firstFix;
    if (validShare === null || first === null) return { key, title, verdict: 'untested', reason: 'there is no fix' };
    const since = this.#known - first.knownBefore;
    const share = validEpochs / since;
    const lost = losses === 0 ? '' : `; lost ${counted(losses, 'time')}, up to ${lasting(longestLossS ?? 0)}`;
    const reason = `${percent(share)} of ${counted(since, 'epoch')} since the first fix${lost}`;
    return { key, title, verdict: share >= GOOD_SHARE ? 'good' : share >= LEAST_SHARE ? 'remark' : 'bad', reason };
  }
}
