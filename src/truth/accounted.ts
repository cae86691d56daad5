import { LodestubError } from '../base/error.js';
import type { ReadBytes } from './byte-window.js';
import { JournalCheck } from './journal-check.js';
import { expectRun, JournalLines } from './journal-reader.js';
import type { BytesRecord, JournalRecord, RunRecord, SentenceRecord } from './journal-record.js';
import { RecordScan } from './record-scan.js';

/** The line is always as fast as it was, and the host as the line, unless a record says so. */
interface Speeds {
  lineBaud: number;
  /** Null: no host has set one. */
  hostBaud: number | null;
}

/**
 * What a journal says went over the line, piece by piece in the order in which it did; every record on the way is held
 * against the others.
 * @throws LodestubError `journal.…` from `next` where it is no journal
 */
export class Accounted {
  readonly run: RunRecord;
  readonly check: JournalCheck;
  readonly #lines: JournalLines;
  readonly #scan = new RecordScan();
  /** Line of the journal that the present piece stands in. */
  line = 0;
  kind: 'sentence' | 'bytes' = 'sentence';
  startUs = 0;
  /** The piece is `bytes` from `from` to `to`, until the next one is asked for, and CR LF where `hasLineEnd`. */
  bytes: Buffer = Buffer.alloc(0);
  from = 0;
  to = 0;
  hasLineEnd = false;
  /** All bytes and pieces up to here, this piece included. */
  offset = 0;
  pieces = 0;
  /** The first line from which on the host read at another speed than the line's; 0: it never did. */
  otherSpeedLine = 0;
  readonly #speeds: Speeds;

  constructor(journal: ReadBytes, file: string) {
    this.#lines = new JournalLines(journal, file);
    this.#lines.next();
    this.run = expectRun(this.#lines.record(), this.#lines);
    if (!(this.run.baud > 0)) {
      const summary = `baud of the record run: expected a speed, got ${this.run.baud}`;
      throw new LodestubError({ code: 'journal.record', path: this.#lines.place, summary });
    }
    this.#speeds = { lineBaud: this.run.baud, hostBaud: null };
    this.check = new JournalCheck(this.run.baud);
  }

  /** Bytes of the present piece. */
  get length(): number {
    return this.to - this.from + (this.hasLineEnd ? 2 : 0);
  }

  /** Goes to the next piece. @returns false: there is none */
  next(): boolean {
    const lines = this.#lines;
    while (lines.next()) {
      const { bytes, from, to } = lines;
      if (this.#scan.sentence(bytes, from, to)) return this.#meant(bytes);
      if (this.#scan.epochAlone(bytes, from, to)) {
        this.check.epoch(lines.line, this.#scan.epoch, this.#scan.startUs, null);
      } else if (this.#take(lines.record())) return true;
    }
    this.check.finish(lines.line);
    return false;
  }

  /** A sentence as it was meant. */
  #meant(bytes: Buffer): true {
    const { epoch, startUs, endUs, textFrom, textTo } = this.#scan;
    this.check.totals.sentences++;
    this.#set('sentence', startUs, bytes, textFrom, textTo, true);
    this.check.transmission(this.line, epoch, null, this.length, startUs, endUs);
    return true;
  }

  /** @returns whether something went over the line */
  #take(record: JournalRecord): boolean {
    const { check } = this;
    const { line } = this.#lines;
    switch (record.type) {
      case 'run':
        throw this.#secondRun();
      case 'end':
        check.end(line, record);
        return false;
      case 'epoch':
        check.epoch(line, record.index, microseconds(record.atMs), record.faults);
        return false;
      case 'sentence':
        this.#takeSentence(record);
        return true;
      case 'bytes':
        this.#takeBytes(record);
        return true;
      case 'dropped':
        check.dropped(line, record.epoch, microseconds(record.atMs), record.text);
        check.hands(line, record.faults);
        return false;
      case 'fault':
        check.fault(line, record, microseconds(record.atMs));
        return false;
      case 'surroundings':
        check.surroundings(line, record, microseconds(record.atMs));
        return false;
      case 'line':
        check.speed(line, microseconds(record.atMs), record.baud);
        this.#speeds.lineBaud = record.baud;
        this.#compareSpeeds(line);
        return false;
      case 'host':
        check.at(line, microseconds(record.atMs));
        if (record.baud !== undefined) this.#speeds.hostBaud = record.baud;
        this.#compareSpeeds(line);
        return false;
      case 'port':
        check.at(line, microseconds(record.atMs));
        // Nobody has set up what is there anew.
        if (record.event === 'back') this.#speeds.hostBaud = null;
        return false;
      default:
        check.at(line, microseconds(record.atMs));
        return false;
    }
  }

  #secondRun(): LodestubError {
    const summary = 'a second record of a run, of which a journal has one';
    return new LodestubError({ code: 'journal.record', path: this.#lines.place, summary });
  }

  #takeSentence({ epoch, text, startMs, endMs, faults, sentBase64 }: SentenceRecord): void {
    this.check.totals.sentences++;
    const sent = sentBase64 === undefined ? Buffer.from(text, 'utf8') : Buffer.from(sentBase64, 'base64');
    const startUs = microseconds(startMs);
    this.#set('sentence', startUs, sent, 0, sent.length, sentBase64 === undefined);
    const name = sentBase64 === undefined ? null : text;
    this.check.transmission(this.line, epoch, name, this.length, startUs, microseconds(endMs));
    this.check.handsOnLine(faults);
  }

  #takeBytes({ epoch, startMs, endMs, base64, faults }: BytesRecord): void {
    const sent = Buffer.from(base64, 'base64');
    const startUs = microseconds(startMs);
    this.#set('bytes', startUs, sent, 0, sent.length, false);
    this.check.transmission(this.line, epoch ?? 0, '', this.length, startUs, microseconds(endMs));
    this.check.handsOnLine(faults ?? []);
  }

  #set(
    kind: 'sentence' | 'bytes',
    startUs: number,
    bytes: Buffer,
    from: number,
    to: number,
    hasLineEnd: boolean,
  ): void {
    this.line = this.#lines.line;
    this.kind = kind;
    this.startUs = startUs;
    this.bytes = bytes;
    this.from = from;
    this.to = to;
    this.hasLineEnd = hasLineEnd;
    this.offset += this.length;
    this.pieces++;
  }

  #compareSpeeds(line: number): void {
    const { lineBaud, hostBaud } = this.#speeds;
    if (this.otherSpeedLine === 0 && hostBaud !== null && hostBaud !== lineBaud) this.otherSpeedLine = line;
  }
}

function microseconds(ms: number): number {
  return Math.round(ms * 1000);
}
