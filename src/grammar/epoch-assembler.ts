import { laterOfDay, stepOfDayMs } from '../base/step-of-day.js';
import { decode } from './decode.js';
import { epochOf } from './epoch-of.js';
import { EpochOrder } from './epoch-order.js';
import type { Heard, HeardEpoch } from './heard-epoch.js';
import { isSound } from './is-sound.js';
import { parseSentence } from './sentence.js';
import type { Piece } from './splitter.js';

/** An epoch has no more sentences than this, whatever comes. */
const MOST_SENTENCES = 400;

/**
 * Joins sentences into navigation epochs. A new one begins where a sentence tells a later time of day, or where a
 * sentence comes that this epoch has had already; of the sentences without a time in between {@link EpochOrder} says
 * whose they are. A stale sentence, with the time of an epoch before, begins none. Sentences whose checksum is wrong
 * belong to none.
 */
export class EpochAssembler {
  readonly #take: (epoch: HeardEpoch) => void;
  readonly #order = new EpochOrder();
  #index = 0;
  #sentences: Heard[] = [];
  /** Places of the first and the last sentence that has a field for a time; -1: none yet. */
  #firstTimed = -1;
  #lastTimed = -1;
  /** The latest time that this epoch's sentences tell, and that of the epoch before. */
  #timeOfDayMs: number | null = null;
  #beforeMs: number | null = null;

  constructor(take: (epoch: HeardEpoch) => void) {
    this.#take = take;
  }

  /** @returns the sentence as it was heard, whether it belongs to an epoch or not */
  put(piece: Piece): Heard {
    const sentence = parseSentence(piece.text);
    const decoded = sentence.start === '$' ? decode(sentence) : null;
    const heard: Heard = { piece, sentence, decoded };
    if (decoded === null || decoded.of === 'TXT' || !isSound(heard)) return heard;
    if (this.#sentences.length === 0) this.#order.begin(heard);
    const isTimed = 'timeOfDayMs' in decoded;
    const timeMs = isTimed ? decoded.timeOfDayMs : null;
    const earlier = this.#placeOfSame(heard);
    const isOfAnother = timeMs !== null && this.#timeOfDayMs !== null && timeMs !== this.#timeOfDayMs;
    const isJoined = isOfAnother && earlier < 0 && this.#hasStale(heard, timeMs, this.#timeOfDayMs as number);
    this.#sentences.push(heard);
    if (isOfAnother && !isJoined) this.#part(this.#lastTimed + 1);
    else if (earlier >= 0) this.#part(Math.max(earlier, this.#lastTimed) + 1);
    else if (this.#sentences.length > MOST_SENTENCES) this.#part(this.#sentences.length - 1);
    if (isTimed) {
      this.#lastTimed = this.#sentences.length - 1;
      if (this.#firstTimed < 0) this.#firstTimed = this.#lastTimed;
    }
    if (timeMs !== null) this.#timeOfDayMs = laterOfDay(this.#timeOfDayMs, timeMs);
    return heard;
  }

  /** No more sentences belong to the epoch. */
  end(): void {
    this.#cut(this.#sentences.length);
  }

  /**
   * Whether a sentence with another time is of this epoch all the same: it is stale itself, or this epoch began with
   * one that is, which repeats the time of the epoch before.
   */
  #hasStale(heard: Heard, timeMs: number, ownMs: number): boolean {
    if (stepOfDayMs(ownMs, timeMs) < 0) return true;
    const before = this.#beforeMs;
    if (before === null || stepOfDayMs(before, ownMs) > 0 || stepOfDayMs(before, timeMs) <= 0) return false;
    return this.#order.isLeader(this.#sentences[0] as Heard) && !this.#order.isLeader(heard);
  }

  /** The last sentence belongs to another epoch, which begins at `low` at the earliest. */
  #part(low: number): void {
    this.#cut(this.#order.boundary(this.#sentences, low));
  }

  #cut(place: number): void {
    const sentences = this.#sentences;
    if (place === 0) return;
    const epoch = sentences.slice(0, place);
    this.#sentences = sentences.slice(place);
    this.#order.note(epoch, this.#firstTimed, this.#lastTimed);
    this.#firstTimed = -1;
    this.#lastTimed = -1;
    this.#beforeMs = this.#timeOfDayMs ?? this.#beforeMs;
    this.#timeOfDayMs = null;
    this.#take(epochOf(this.#index++, epoch));
  }

  /** The place of a sentence that comes once an epoch, and was there already; -1: none. */
  #placeOfSame(heard: Heard): number {
    const sentences = this.#sentences;
    const last = sentences.length - 1;
    for (let place = last; place >= 0; place--) {
      const other = sentences[place] as Heard;
      if (other.sentence.formatter !== heard.sentence.formatter || !isSame(other, heard)) continue;
      return goesOn(sentences, place, heard) ? -1 : place;
    }
    return -1;
  }
}

/** Whether two sentences of one formatter are the same one, of two epochs. */
function isSame(one: Heard, other: Heard): boolean {
  const [a, b] = [one.decoded, other.decoded];
  const isOneTalker = one.sentence.talker === other.sentence.talker;
  if (a?.of === 'GSV' && b?.of === 'GSV') {
    const isOnePart = a.number === b.number && a.total === b.total && a.inView === b.inView;
    return isOneTalker && isOnePart && a.signal === b.signal;
  }
  if (a?.of === 'GSA' && b?.of === 'GSA') return isOneTalker && a.system === b.system;
  const [fields, others] = [one.sentence.fields, other.sentence.fields];
  if (a?.of === 'GRS') return isOneTalker && fields.at(-2) === others.at(-2) && fields.at(-1) === others.at(-1);
  // Each system may have its own of these; RMC under GP and GN in turn is one and the same.
  if (a?.of === 'GNS' || a?.of === 'GST' || a?.of === 'GBS') return isOneTalker;
  return true;
}

/** Whether a sentence goes on with the one at `place`, the last of its kind, rather than begin another epoch. */
function goesOn(sentences: readonly Heard[], place: number, heard: Heard): boolean {
  const { decoded, sentence } = heard;
  // Where more than twelve satellites are used, one GSA goes on with the next.
  if (decoded?.of === 'GSA') return isRun(sentences, place) && !hasSameIds(sentences, heard);
  if (decoded?.of !== 'GSV' || decoded.inView !== 0 || place !== sentences.length - 1) return false;
  // Two systems under one talker, each without a satellite in view.
  const before = sentences[place - 1];
  return before === undefined || before.sentence.talker !== sentence.talker || before.decoded?.of !== 'GSV';
}

/** Whether from a place on all are GSA. */
function isRun(sentences: readonly Heard[], from: number): boolean {
  for (let place = from; place < sentences.length; place++) {
    if ((sentences[place] as Heard).decoded?.of !== 'GSA') return false;
  }
  return true;
}

function hasSameIds(sentences: readonly Heard[], { decoded, sentence }: Heard): boolean {
  if (decoded?.of !== 'GSA') return false;
  const ids = decoded.ids.join();
  return sentences.some(
    (other) =>
      other.decoded?.of === 'GSA' &&
      other.sentence.talker === sentence.talker &&
      other.decoded.system === decoded.system &&
      other.decoded.ids.join() === ids,
  );
}
