import { BITS_PER_BYTE } from '../base/constants.js';
import type { EndRecord, FaultRecord, SurroundingsRecord } from './journal-record.js';

/** Something in the journal that contradicts itself. */
export interface Finding {
  /** Line of the journal, from 1. */
  readonly line: number;
  readonly what: string;
}

/** So many findings are kept; the rest is only counted. */
const MOST_KEPT = 20;

/** Both ends of a time are rounded to a microsecond, and a length has two. */
const ROUNDING_US = 1.01;

/** What went over the line, as far as its time goes. Times are whole microseconds. */
interface Sent {
  line: number;
  epoch: number;
  text: string | null;
  bytes: number;
  startUs: number;
  endUs: number;
  /** Ten bit times; `otherByteUs` too is right where the speed was changed in the instant that it began. */
  byteUs: number;
  otherByteUs: number;
  /** It may have gaps: bytes of it are on record as dropped. */
  hasGaps: boolean;
  /** Just text and CR LF. */
  isAsMeant: boolean;
}

/** Holds a journal against itself, record after record. */
export class JournalCheck {
  readonly findings: Finding[] = [];
  /** Findings, those that were not kept included. */
  count = 0;
  readonly totals = { epochs: 0, sentences: 0, bytes: 0, dropped: 0 };
  hasEnd = false;
  #byteUs = 0;
  #lastUs = 0;
  #lastLine = 1;
  #lastEpochUs = -1;
  /** By the names of entries: how many of their occurrences, counted from 1, have begun. */
  readonly #begun = new Map<string, number>();
  /** Ids of the occurrences in force. */
  readonly #inForce = new Set<string>();
  /** Surroundings that have begun and not ended. */
  readonly #around = new Set<string>();
  #lastDroppedUs = -1;
  #lastDroppedEpoch = -1;
  #lastDroppedText = '';
  #hasSent = false;
  /** Those of the last transmission. */
  #hands: readonly string[] = [];
  readonly #sent: Sent = {
    line: 0,
    epoch: 0,
    text: null,
    bytes: 0,
    startUs: 0,
    endUs: 0,
    byteUs: 0,
    otherByteUs: 0,
    hasGaps: false,
    isAsMeant: true,
  };

  /** @param baud the line's speed at the start */
  constructor(baud: number) {
    this.#byteUs = (1e6 * BITS_PER_BYTE) / baud;
  }

  /** A record with a time: the order in which records stand is that of their starts. */
  at(line: number, startUs: number): void {
    if (this.hasEnd) this.#find(line, 'a record after the last one, end');
    if (startUs < this.#lastUs) {
      this.#find(line, `begins at ${shown(startUs)}, before line ${this.#lastLine}, at ${shown(this.#lastUs)}`);
    }
    this.#lastUs = startUs;
    this.#lastLine = line;
  }

  /** An epoch. @param faults ids of the faults in force; null: none */
  epoch(line: number, index: number, atUs: number, faults: readonly string[] | null): void {
    this.at(line, atUs);
    const { totals } = this;
    if (index !== totals.epochs) this.#find(line, `epoch ${index}, expected epoch ${totals.epochs}`);
    if (atUs <= this.#lastEpochUs) this.#find(line, `epoch ${index} is no later than the one before`);
    this.#lastEpochUs = atUs;
    totals.epochs = index + 1;
    if (faults === null ? this.#inForce.size === 0 : this.#areInForce(faults)) return;
    this.#find(line, `faults in force: expected ${listed([...this.#inForce])}, got ${listed(faults ?? [])}`);
  }

  /**
   * Something that went over the line.
   * @param text what a dropped record would name it by; null: just text and CR LF went out, in one piece
   */
  transmission(line: number, epoch: number, text: string | null, bytes: number, startUs: number, endUs: number): void {
    this.at(line, startUs);
    this.#settle(false);
    const sent = this.#sent;
    if (this.#hasSent && startUs < sent.endUs - ROUNDING_US) {
      this.#find(line, `begins at ${shown(startUs)}, while line ${sent.line} lasts to ${shown(sent.endUs)}`);
    }
    if (epoch !== 0 && epoch >= this.totals.epochs) this.#find(line, `belongs to epoch ${epoch}, which is not over`);
    this.totals.bytes += bytes;
    this.#hasSent = true;
    sent.line = line;
    sent.epoch = epoch;
    sent.text = text;
    sent.bytes = bytes;
    sent.startUs = startUs;
    sent.endUs = endUs;
    sent.byteUs = this.#byteUs;
    sent.otherByteUs = this.#byteUs;
    sent.isAsMeant = text === null;
    sent.hasGaps =
      text !== null &&
      this.#lastDroppedUs >= startUs - ROUNDING_US &&
      epoch === this.#lastDroppedEpoch &&
      text === this.#lastDroppedText;
  }

  /** A sentence or part of one that did not go out. */
  dropped(line: number, epoch: number, atUs: number, text: string): void {
    this.at(line, atUs);
    this.totals.dropped++;
    const sent = this.#sent;
    if (epoch === sent.epoch && text === sent.text && atUs <= sent.endUs + ROUNDING_US) sent.hasGaps = true;
    this.#lastDroppedUs = atUs;
    this.#lastDroppedEpoch = epoch;
    this.#lastDroppedText = text;
  }

  /** The line's speed has changed. */
  speed(line: number, atUs: number, baud: number): void {
    this.at(line, atUs);
    this.#byteUs = (1e6 * BITS_PER_BYTE) / baud;
    if (atUs <= this.#sent.startUs) this.#sent.otherByteUs = this.#byteUs;
  }

  /** A fault begins or ends. */
  fault(line: number, { id, phase }: FaultRecord, atUs: number): void {
    this.at(line, atUs);
    if (phase === 'begin') {
      if (this.#hasBegun(id)) this.#find(line, `fault ${id} begins a second time`);
      const { name, count } = occurrence(id);
      this.#begun.set(name, Math.max(count, this.#begun.get(name) ?? 0));
      this.#inForce.add(id);
    } else if (!this.#inForce.delete(id)) this.#find(line, `fault ${id} ends, and is not in force`);
  }

  /** Other surroundings begin or end. */
  surroundings(line: number, { id, phase }: SurroundingsRecord, atUs: number): void {
    this.at(line, atUs);
    if (phase === 'begin') {
      if (this.#around.has(id)) this.#find(line, `the surroundings ${id} begin a second time`);
      this.#around.add(id);
    } else if (!this.#around.delete(id)) this.#find(line, `the surroundings ${id} end, and have not begun`);
  }

  /** Faults that had a hand in what was dropped: each must have begun. */
  hands(line: number, faults: readonly string[]): void {
    for (const id of faults) if (!this.#hasBegun(id)) this.#find(line, `names the fault ${id}, which has not begun`);
  }

  /** Faults that had a hand in the last transmission: each must begin before its end. */
  handsOnLine(faults: readonly string[]): void {
    this.#hands = faults;
  }

  /** The last record. */
  end(line: number, record: EndRecord): void {
    if (this.hasEnd) this.#find(line, 'a second end');
    this.hasEnd = true;
    this.#settle(true);
    for (const key of ['epochs', 'sentences', 'bytes', 'dropped'] as const) {
      if (record[key] === this.totals[key]) continue;
      this.#find(line, `counts ${record[key]} ${key}, but the journal has ${this.totals[key]}`);
    }
    for (const id of this.#inForce) this.#find(line, `fault ${id} has no end on record`);
    for (const id of this.#around) this.#find(line, `the surroundings ${id} have no end on record`);
  }

  /** The journal is over. */
  finish(lines: number): void {
    if (this.hasEnd) return;
    this.#settle(true);
    this.#find(lines, 'the journal has no end: its run was not finished, or the rest is missing');
  }

  /** All that bears on the last transmission's length is known. @param isLast a run that is ended at once cuts it */
  #settle(isLast: boolean): void {
    if (!this.#hasSent) return;
    const { line, bytes, startUs, endUs, byteUs, otherByteUs, hasGaps, isAsMeant } = this.#sent;
    if (this.#hands.length > 0) {
      this.hands(line, this.#hands);
      this.#hands = [];
    }
    const lengthUs = endUs - startUs;
    const difference = lengthUs - bytes * byteUs;
    if (Math.abs(difference) <= ROUNDING_US || Math.abs(lengthUs - bytes * otherByteUs) <= ROUNDING_US) return;
    if (difference > 0 && (hasGaps || (isLast && !isAsMeant))) return;
    const least = hasGaps ? 'at least ' : '';
    this.#find(
      line,
      `${bytes} bytes take ${least}${shown(bytes * byteUs)} at the line’s speed, not ${shown(lengthUs)}`,
    );
  }

  #areInForce(faults: readonly string[]): boolean {
    return faults.length === this.#inForce.size && faults.every((id) => this.#inForce.has(id));
  }

  /** Those of one entry begin one after the other. */
  #hasBegun(id: string): boolean {
    const { name, count } = occurrence(id);
    return count <= (this.#begun.get(name) ?? 0);
  }

  #find(line: number, what: string): void {
    this.count++;
    if (this.findings.length < MOST_KEPT) this.findings.push({ line, what });
  }
}

/** The name of a fault's entry, and which of its occurrences, from 1, an id such as 3.1 stands for. */
function occurrence(id: string): { readonly name: string; readonly count: number } {
  const [, name = id, count = '1'] = /^(.*)\.([1-9]\d{0,14})$/.exec(id) ?? [];
  return { name, count: Number(count) };
}

/** A time, ms with microseconds. */
function shown(us: number): string {
  return `${Number((us / 1000).toFixed(3))} ms`;
}

function listed(ids: readonly string[]): string {
  return ids.length === 0 ? 'none' : ids.join(', ');
}
