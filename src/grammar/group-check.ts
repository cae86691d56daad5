import type { Heard } from './heard-epoch.js';
import { isOfOneSystem } from './rules/satellites.js';
import type { Violation, ViolationCode } from './violation.js';

/** A group under way: sentences numbered 1 to `total`. */
interface Group {
  readonly name: string;
  readonly total: number;
  readonly isGsv: boolean;
  /** Null: TXT. */
  readonly inView: number | null;
  /** Those that came, a bit each, and how many. */
  numbers: number;
  count: number;
  last: number;
  isInOrder: boolean;
  /** Satellites listed so far, on the signal of the first, or on several. */
  listed: number;
  readonly signal: string | null;
  hasSeveralSignals: boolean;
  /** Those listed, each with its signal. */
  readonly satellites: Set<string>;
  /** Sentences of it since the epoch began. */
  inEpoch: number;
  /** Disturbances when another epoch began, so that the next sentence is of another group; null: none has. */
  overAt: number | null;
  /** Disturbances before it. */
  readonly disturbances: number;
  /** The stream began amid it. */
  readonly isPartial: boolean;
}

const NOTHING: readonly Violation[] = [];
/** Groups of more are not held together. */
const MOST_SENTENCES = 30;
/** GSV counts to here at most. */
const MOST_IN_VIEW = 99;
/** What begins an epoch, where its time is another or where it comes again. */
const OF_AN_EPOCH: readonly string[] = ['RMC', 'GGA', 'GNS', 'GLL'];
/** No stream has as many addresses of those. */
const MOST_ADDRESSES = 30;

/**
 * Holds the sentences of a group together, GSV's and TXT's: complete, in order, of one mind. Where something was
 * damaged amid a group, what is missing of it is not told of again.
 */
export class GroupCheck {
  readonly #open = new Map<string, Group>();
  /** Disturbances until each group's last one ended. */
  readonly #ended = new Map<string, number>();
  #disturbances = 0;
  /** Addresses of the epoch's sentences with a time, and that time. */
  readonly #inEpoch = new Set<string>();
  #timeOfDayMs: number | null = null;
  /** An epoch has begun, so that the stream cannot have begun amid a group any more. */
  #hasBegun = false;
  /** Several sentences of a group came in one epoch: the module does not spread a group over epochs. */
  #areTogether = false;
  #found: Violation[] = [];

  /** @returns what is wrong with a group, once a sentence shows it */
  put(heard: Heard): readonly Violation[] {
    const { decoded, sentence, piece } = heard;
    if (sentence.checksum !== 'good' && (sentence.checksum !== 'absent' || piece.ending === '')) this.disturb();
    else if (decoded?.of === 'GSV' || decoded?.of === 'TXT') {
      const [total, number] = [Number(sentence.fields[0]), Number(sentence.fields[1])];
      // What is no count is told of by the fields' own check.
      if (!(total <= MOST_SENTENCES && number >= 1 && number <= total)) return NOTHING;
      this.#found = [];
      this.#put(heard, total, number);
      return this.#found;
    } else if (decoded !== null && OF_AN_EPOCH.includes(decoded.of)) this.#meet(heard);
    return NOTHING;
  }

  /** A sentence that tells where an epoch begins. */
  #meet({ decoded, sentence: { address } }: Heard): void {
    this.#hasBegun = true;
    const timeMs = decoded !== null && 'timeOfDayMs' in decoded ? decoded.timeOfDayMs : null;
    const isOther = timeMs !== null && this.#timeOfDayMs !== null && timeMs !== this.#timeOfDayMs;
    if (isOther || this.#inEpoch.has(address) || this.#inEpoch.size >= MOST_ADDRESSES) this.#endEpoch();
    this.#inEpoch.add(address);
    if (timeMs !== null) this.#timeOfDayMs = timeMs;
  }

  /** A group does not go on over another epoch's sentences, but where a module sends one of it in each epoch. */
  #endEpoch(): void {
    this.#inEpoch.clear();
    this.#timeOfDayMs = null;
    for (const group of this.#open.values()) {
      if (group.isGsv && (this.#areTogether || group.inEpoch > 1)) group.overAt ??= this.#disturbances;
      group.inEpoch = 0;
    }
  }

  /** The stream has ended, which it may do amid a group. */
  end(): readonly Violation[] {
    this.#open.clear();
    return NOTHING;
  }

  /** Something came that is no sentence, and may have been one. */
  disturb(): void {
    this.#disturbances += 1;
  }

  #put(heard: Heard, total: number, number: number): void {
    const name = heard.sentence.address;
    let group = this.#open.get(name);
    if (group !== undefined && this.#isAnother(group, heard, total, number)) {
      const isChanged = group.overAt === null && group.total !== total && number === group.last + 1;
      if (isChanged) this.#say('group-change', heard, `${name} ${number} of ${total} after one of ${group.total}`);
      else this.#tellMissing(heard, group);
      this.#close(group);
      group = isChanged ? this.#begin(heard, name, total, true) : undefined;
    }
    group ??= this.#begin(heard, name, total, number > 1 && !this.#ended.has(name) && !this.#hasBegun);
    this.#add(heard, group, number);
    if (group.count < total) return;
    this.#close(group);
    if (!group.isInOrder) this.#say('group-order', heard, `${name} of ${total} came out of order`);
    this.#count(heard, group);
  }

  /** Whether a sentence belongs to another group than the one under way. */
  #isAnother(group: Group, { decoded }: Heard, total: number, number: number): boolean {
    if (group.overAt !== null || group.total !== total || (group.numbers & bit(number)) !== 0) return true;
    if (number !== 1) return false;
    if (group.isPartial) return true;
    // After the last one, a first one begins the next; in the same epoch, on the same signal, it came late.
    if (group.last !== total) return false;
    const isOfThis = decoded?.of === 'GSV' && decoded.signal === group.signal && decoded.inView === group.inView;
    return !(this.#hasBegun && isOfThis && group.inEpoch === group.count);
  }

  #begin({ decoded }: Heard, name: string, total: number, isPartial: boolean): Group {
    const group: Group = {
      name,
      total,
      isGsv: decoded?.of === 'GSV',
      inView: decoded?.of === 'GSV' ? decoded.inView : null,
      numbers: 0,
      count: 0,
      last: 0,
      isInOrder: true,
      listed: 0,
      signal: decoded?.of === 'GSV' ? decoded.signal : null,
      hasSeveralSignals: false,
      satellites: new Set(),
      inEpoch: 0,
      overAt: null,
      // Before the first one anything may have been damaged.
      disturbances: this.#ended.get(name) ?? (this.#hasBegun ? 0 : this.#disturbances),
      isPartial,
    };
    this.#open.set(name, group);
    return group;
  }

  #add(heard: Heard, group: Group, number: number): void {
    const { decoded } = heard;
    group.numbers |= bit(number);
    group.count += 1;
    group.inEpoch += 1;
    if (group.isGsv && group.inEpoch > 1) this.#areTogether = true;
    if (number !== group.last + 1) group.isInOrder = false;
    group.last = number;
    if (decoded?.of !== 'GSV') return;
    if (decoded.inView !== group.inView) {
      const found = `${group.name} ${number} with ${decoded.inView} in view after one with ${group.inView}`;
      this.#say('group-change', heard, found);
    }
    for (const { id, signal } of decoded.satellites) {
      const key = `${id} ${signal}`;
      // Zero is no satellite, and told of as such.
      if (id !== '0' && group.satellites.has(key) && isOfOneSystem(heard.sentence.talker)) {
        const on = signal === null ? '' : ` on signal ${signal}`;
        this.#say('satellite-twice', heard, `${group.name} lists satellite ${id} twice${on}; once is allowed`);
      }
      group.satellites.add(key);
    }
    group.listed += decoded.satellites.length;
    if (decoded.signal !== group.signal) group.hasSeveralSignals = true;
  }

  #close({ name, overAt }: Group): void {
    this.#open.delete(name);
    this.#ended.set(name, overAt ?? this.#disturbances);
  }

  #tellMissing(heard: Heard, { name, total, numbers, isPartial, disturbances, overAt }: Group): void {
    if (isPartial || disturbances !== (overAt ?? this.#disturbances)) return;
    const missing: number[] = [];
    for (let number = 1; number <= total; number++) if ((numbers & bit(number)) === 0) missing.push(number);
    this.#say('group-gap', heard, `${name} ${missing.join(', ')} of ${total} missing before it`);
  }

  /** As many satellites as are in view; where a group has several signals, or counts no further, nobody can say. */
  #count(heard: Heard, { name, inView, listed, hasSeveralSignals }: Group): void {
    if (inView === null || inView >= MOST_IN_VIEW || hasSeveralSignals || listed === inView) return;
    const found = `${name} lists ${listed} satellites with ${inView} in view`;
    this.#say(listed > inView ? 'gsv-count' : 'gsv-fewer', heard, found);
  }

  #say(code: ViolationCode, { piece }: Heard, what: string): void {
    this.#found.push({ code, line: piece.line, offset: piece.offset, what, field: null });
  }
}

function bit(number: number): number {
  return 1 << number;
}
