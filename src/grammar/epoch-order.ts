import type { Heard } from './heard-epoch.js';

/** A silence that parts two epochs, ms at least, and how many times longer than any other between them. */
const LEAST_GAP_MS = 20;
const GAP_RATIO = 2;
/** So often must the values contradict the order before another is taken. */
const VOTES_NEEDED = 2;

/** Values of an epoch that stand in two sentences: one with a time and one without. */
interface Twins {
  /** HDOP of GGA or GNS, and speed of RMC; null: not there. */
  readonly hdop: number | null;
  readonly speedMps: number | null;
}

/**
 * Finds where one epoch ends and the next begins, among sentences without a time that stand between two that have one:
 * by the longest silence; else by the sentence that leads each epoch. That is the stream's first one, until values
 * show that it is another: GSA repeats GGA's HDOP, VTG repeats RMC's speed.
 */
export class EpochOrder {
  #leader: { readonly talker: string; readonly formatter: string } | null = null;
  #votes = 0;
  #last: { readonly twins: Twins; readonly trailing: readonly Heard[] } | null = null;

  /** What leads the stream. */
  begin(first: Heard): void {
    this.#leader ??= first.sentence;
  }

  /**
   * @param sentences those heard since the last boundary, and the one that shows that there is another
   * @param low the first place at which the next epoch may begin; the last one is that of the last sentence
   * @returns where the next epoch begins
   */
  boundary(sentences: readonly Heard[], low: number): number {
    const last = sentences.length - 1;
    const silent = low === last ? null : longestSilence(sentences, low);
    if (silent !== null) {
      this.#lead(sentences[silent] as Heard);
      return silent;
    }
    for (let place = low; place < last; place++) if (this.isLeader(sentences[place] as Heard)) return place;
    return last;
  }

  /** An epoch is over. @param firstTimed, lastTimed places of its sentences with a time; -1: there are none */
  note(sentences: readonly Heard[], firstTimed: number, lastTimed: number): void {
    const twins = twinsOf(sentences);
    const last = this.#last;
    this.#last = { twins, trailing: lastTimed < 0 ? [] : sentences.slice(lastTimed + 1) };
    if (last === null || firstTimed < 0) return;
    const leading = sentences.slice(0, firstTimed);
    const isEarly = last.trailing.some((heard) => isOf(heard, twins, last.twins));
    const isLate = leading.some((heard) => isOf(heard, last.twins, twins));
    const isRight =
      leading.some((heard) => isOf(heard, twins, last.twins)) ||
      last.trailing.some((heard) => isOf(heard, last.twins, twins));
    if (isRight) this.#votes = 0;
    else if (isEarly || isLate) this.#votes += 1;
    if (this.#votes < VOTES_NEEDED) return;
    this.#lead((isEarly ? last.trailing[0] : sentences[firstTimed]) as Heard);
  }

  #lead({ sentence }: Heard): void {
    this.#leader = sentence;
    this.#votes = 0;
  }

  /** Whether it is the sentence that each epoch begins with, as far as is known. */
  isLeader({ sentence, decoded }: Heard): boolean {
    if (sentence.formatter !== this.#leader?.formatter) return false;
    return decoded?.of !== 'GSV' || (decoded.number === 1 && sentence.talker === this.#leader.talker);
  }
}

/** The place before which the longest silence was; null: nobody knows, or none stands out. */
function longestSilence(sentences: readonly Heard[], low: number): number | null {
  let longestMs = 0;
  let secondMs = 0;
  let found: number | null = null;
  for (let place = Math.max(1, low); place < sentences.length; place++) {
    const { endMs } = (sentences[place - 1] as Heard).piece;
    const { startMs } = (sentences[place] as Heard).piece;
    if (endMs === null || startMs === null) return null;
    const silenceMs = startMs - endMs;
    if (silenceMs > longestMs) {
      secondMs = longestMs;
      longestMs = silenceMs;
      found = place;
    } else if (silenceMs > secondMs) secondMs = silenceMs;
  }
  return longestMs >= LEAST_GAP_MS && longestMs > GAP_RATIO * secondMs ? found : null;
}

function twinsOf(sentences: readonly Heard[]): Twins {
  let hdop: number | null = null;
  let speedMps: number | null = null;
  for (let i = 0; i < sentences.length; i++) {
    const { decoded } = sentences[i] as Heard;
    if (decoded?.of === 'GGA' || decoded?.of === 'GNS') hdop = decoded.hdop;
    if (decoded?.of === 'RMC') speedMps = decoded.speedMps;
  }
  return { hdop, speedMps };
}

/** Whether a sentence without a time repeats what one epoch has, and not what another has. */
function isOf({ decoded }: Heard, one: Twins, other: Twins): boolean {
  if (decoded?.of === 'GSA') return differs(decoded.hdop, one.hdop, other.hdop);
  // A unit of the last digit in knots; both are rounded from one value.
  return decoded?.of === 'VTG' && differs(decoded.speedMps, one.speedMps, other.speedMps);
}

function differs(value: number | null, one: number | null, other: number | null): boolean {
  return value !== null && value === one && other !== null && value !== other;
}
