import type { ByteFault } from './byte-faults.js';
import { StruckItem } from './struck-item.js';
import {
  byteMsAt,
  countBytes,
  type Dropped,
  newBytes,
  type Segment,
  segmentsOf,
  type Transmission,
} from './transmission.js';

/** Sentences that have gone are forgotten when so many stand before those that wait. */
const LONGEST_PAST = 256;

interface Batch {
  readonly readyMs: number;
  readonly sentences: readonly Transmission[];
}

/** How a line is made. */
export interface LineOptions {
  readonly baud: number;
  readonly transmitBufferBytes: number;
  readonly overflow: 'drop' | 'cut';
}

/** A line at an epoch. */
export interface LineState {
  readonly baud: number;
  /** Share of the time since the last epoch in which it was busy, 0 to 1. */
  readonly load: number;
  /** Bytes of earlier epochs that still wait in the transmit buffer. */
  readonly waitingBytes: number;
}

/**
 * The module's UART: a transmit buffer that takes an epoch's sentences whole, and a line that sends them byte by byte,
 * ten bit times each. It knows when every byte's stop bit ends; no clock is needed.
 */
export class Line {
  #baud: number;
  #byteMs: number;
  readonly #options: LineOptions;
  readonly #batches: Batch[] = [];
  readonly #queue: Transmission[] = [];
  /** Place of the first that waits; what is before it has gone. */
  #head = 0;
  #queuedBytes = 0;
  /** Byte faults that have had their say on what comes before the first that waits. */
  readonly #heard = new Set<string>();
  /** End of the last stop bit so far. */
  #freeMs = 0;
  /** All the time that items have taken, or will have once they are out. */
  #busyMs = 0;
  #last: Transmission | null = null;
  /** The same with what faults have made of it; null: none has struck it. */
  #struck: StruckItem | null = null;

  constructor(options: LineOptions) {
    this.#options = options;
    this.#baud = options.baud;
    this.#byteMs = byteMsAt(options.baud);
  }

  get baud(): number {
    return this.#baud;
  }

  /** Ten bit times at the present speed, ms. */
  get byteMs(): number {
    return this.#byteMs;
  }

  /** The module sets its UART to another speed: what has begun to go out goes on as it was. */
  setBaud(baud: number): void {
    this.#baud = baud;
    this.#byteMs = byteMsAt(baud);
  }

  /** Hands an epoch's sentences over at `readyMs`, not before any handed over earlier. */
  submit(readyMs: number, sentences: readonly Transmission[]): void {
    const previous = this.#batches.at(-1)?.readyMs ?? 0;
    this.#batches.push({ readyMs: Math.max(previous, readyMs), sentences });
  }

  /** Hands over what does not wait for the epoch's sentences: a reply, at `readyMs`. */
  interject(readyMs: number, items: readonly Transmission[]): void {
    let place = this.#batches.length;
    while (place > 0 && (this.#batches[place - 1] as Batch).readyMs > readyMs) place--;
    this.#batches.splice(place, 0, { readyMs, sentences: items });
  }

  /** When the next item begins, as things stand, ms; Infinity where nothing waits. */
  get nextMs(): number {
    const batchMs = this.#batches[0]?.readyMs ?? Infinity;
    return this.#queue[this.#head] === undefined ? Math.max(batchMs, this.#freeMs) : this.#freeMs;
  }

  /** Whether anything is queued or will be. */
  get isEmpty(): boolean {
    return this.#batches.length === 0 && this.#head === this.#queue.length;
  }

  /**
   * Sends all that has its first start bit before `untilMs`, in order of time.
   * @param most items at most
   */
  advance(
    untilMs: number,
    faults: readonly ByteFault[],
    sent: Transmission[],
    dropped: Dropped[],
    most = Infinity,
  ): void {
    for (const enough = sent.length + most; sent.length < enough; ) {
      const batch = this.#batches[0];
      const item = this.#queue[this.#head];
      const startMs = item === undefined ? Infinity : this.#freeMs;
      if (batch !== undefined && batch.readyMs <= startMs) {
        if (batch.readyMs >= untilMs) return;
        this.#batches.shift();
        this.#admit(batch, dropped);
      } else {
        if (item === undefined || startMs >= untilMs) return;
        this.#transmit(item, startMs, faults, sent, dropped);
      }
    }
  }

  /** Bytes that wait in the transmit buffer. */
  get waitingBytes(): number {
    return this.#queuedBytes;
  }

  /** How long the line has been busy up to a time that has been reached, ms. */
  busyMsBy(atMs: number): number {
    return this.#busyMs - Math.max(0, this.#freeMs - atMs);
  }

  /** End of the last stop bit so far, ms. */
  get endMs(): number {
    return this.#freeMs;
  }

  /** A fault begins while something is on the line: it acts on the bytes that are still to come. */
  strike(fault: ByteFault, dropped: Dropped[]): void {
    const last = this.#last;
    if (last === null || this.#freeMs <= fault.beginMs) return;
    this.#struck ??= new StruckItem(last, true);
    this.#struck.strike([fault], fault.beginMs, dropped);
  }

  /** A fault ends at `atMs`, earlier than it was to: of what is on the line it leaves alone what is still to come. */
  end({ id }: ByteFault, atMs: number, sent: Transmission[], dropped: Dropped[]): void {
    if (this.#struck === null || this.#freeMs <= atMs) return;
    this.#struck.end(id, atMs, sent, dropped);
    this.#last = this.#struck.transmission;
  }

  /** The module loses power: a byte whose stop bit would end later is lost, and so is all that waited. */
  cut(atMs: number, faults: readonly string[], dropped: Dropped[]): void {
    const lost = (text: string, epoch: number, bytes: number) => {
      if (bytes > 0) dropped.push({ epoch, atMs, text, bytes, reason: 'power', faults });
    };
    const last = this.#last;
    if (last !== null && last.endMs > atMs) {
      const before = countBytes(last);
      last.segments = segmentsOf(last).map(({ startMs, bytes }) => ({
        startMs,
        bytes: bytes.subarray(0, Math.max(0, Math.floor((atMs - startMs) / last.byteMs + 1e-9))),
      }));
      last.endMs = atMs;
      last.freeMs = atMs;
      last.faults = [...last.faults, ...faults];
      this.#struck = null;
      lost(last.text, last.epoch, before - countBytes(last));
    }
    const waiting = [...this.#queue.slice(this.#head), ...this.#batches.flatMap(({ sentences }) => sentences)];
    for (const sentence of waiting) lost(sentence.text, sentence.epoch, countBytes(sentence));
    this.#empty();
    this.#heard.clear();
    this.#batches.length = 0;
    this.#queuedBytes = 0;
    this.#busyMs -= Math.max(0, this.#freeMs - atMs);
    this.#freeMs = Math.min(this.#freeMs, atMs);
  }

  /** Moves a batch into the transmit buffer, as far as it fits. */
  #admit({ readyMs, sentences }: Batch, dropped: Dropped[]): void {
    const { transmitBufferBytes, overflow } = this.#options;
    const inFlight = Math.max(0, Math.ceil((this.#freeMs - readyMs) / (this.#last?.byteMs ?? this.#byteMs)));
    if (this.#head === this.#queue.length) this.#freeMs = Math.max(this.#freeMs, readyMs);
    for (const sentence of sentences) {
      const length = countBytes(sentence);
      // A fault has left nothing of it.
      if (length === 0) {
        this.#lose(sentence, sentence.text.length + 2, readyMs, dropped);
        continue;
      }
      const room = transmitBufferBytes - this.#queuedBytes - inFlight;
      if (length <= room) {
        this.#push(sentence, length);
        continue;
      }
      const kept = overflow === 'cut' ? Math.max(0, room) : 0;
      const { epoch, text, faults } = sentence;
      dropped.push({ epoch, atMs: readyMs, text, bytes: length - kept, reason: 'transmit-buffer', faults });
      if (kept === 0) continue;
      const whole = segmentsOf(sentence)[0] as Segment;
      sentence.segments = [{ startMs: Number.NaN, bytes: whole.bytes.subarray(0, kept) }];
      this.#push(sentence, kept);
    }
  }

  #empty(): void {
    this.#queue.length = 0;
    this.#head = 0;
  }

  #push(sentence: Transmission, length: number): void {
    this.#queue.push(sentence);
    this.#queuedBytes += length;
  }

  #transmit(
    transmission: Transmission,
    startMs: number,
    faults: readonly ByteFault[],
    sent: Transmission[],
    dropped: Dropped[],
  ): void {
    if (faults.length > 0 && this.#before(transmission.epoch, startMs, faults, sent)) return;
    if (this.#heard.size > 0) this.#heard.clear();
    const length = countBytes(transmission);
    this.#head++;
    if (this.#head === this.#queue.length) this.#empty();
    else if (this.#head > LONGEST_PAST) {
      this.#queue.splice(0, this.#head);
      this.#head = 0;
    }
    this.#queuedBytes -= length;
    this.#put(transmission, startMs, length);
    if (faults.length === 0) sent.push(transmission);
    else this.#handOn(transmission, faults, sent, dropped);
  }

  /** Hands on what faults have left of an item, if anything. */
  #handOn(item: Transmission, faults: readonly ByteFault[], sent: Transmission[], dropped: Dropped[] | null): void {
    this.#struck = new StruckItem(item);
    this.#struck.strike(faults, item.startMs, dropped);
    this.#struck.send(sent);
  }

  /** Bytes that faults have taken from an item. */
  #lose({ epoch, text, faults }: Transmission, bytes: number, atMs: number, dropped: Dropped[]): void {
    if (bytes > 0) dropped.push({ epoch, atMs, text, bytes, reason: 'fault', faults });
  }

  /** Puts an item of so many bytes on the line. */
  #put(transmission: Transmission, startMs: number, length: number): void {
    const endMs = startMs + length * this.#byteMs;
    this.#freeMs = endMs;
    this.#busyMs += endMs - startMs;
    this.#last = transmission;
    this.#struck = null;
    transmission.startMs = startMs;
    transmission.endMs = endMs;
    transmission.freeMs = endMs;
    transmission.byteMs = this.#byteMs;
    if (transmission.segments === null) return;
    transmission.segments = transmission.segments.map(({ bytes }) => ({ startMs, bytes }));
  }

  /** Sends what the next byte fault puts before an item; false where none has anything left to put there. */
  #before(epoch: number, startMs: number, faults: readonly ByteFault[], sent: Transmission[]): boolean {
    for (const { id, kind, beginMs, endMs: faultEndMs, effect } of faults) {
      if (effect.before === undefined || this.#heard.has(id) || startMs < beginMs || startMs >= faultEndMs) continue;
      this.#heard.add(id);
      const bytes = effect.before();
      if (bytes === null) continue;
      const transmission = newBytes(epoch, bytes, kind, [id]);
      this.#put(transmission, startMs, bytes.length);
      this.#handOn(transmission, faults, sent, null);
      return true;
    }
    return false;
  }
}
