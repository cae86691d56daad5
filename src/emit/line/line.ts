import { BITS_PER_BYTE } from '../../base/constants.js';
import { applyByteFaults, type ByteFault } from './byte-faults.js';
import { countBytes, type Dropped, type Segment, segmentsOf, type Transmission } from './transmission.js';

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

/**
 * The module's UART: a transmit buffer that takes an epoch's sentences whole, and a line that sends them byte by byte,
 * ten bit times each. It knows when every byte's stop bit ends; no clock is needed.
 */
export class Line {
  readonly byteMs: number;
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
  #last: Transmission | null = null;

  constructor(options: LineOptions) {
    this.#options = options;
    this.byteMs = (1000 * BITS_PER_BYTE) / options.baud;
  }

  /** Hands sentences over at `readyMs`, not before any handed over earlier. */
  submit(readyMs: number, sentences: readonly Transmission[]): void {
    const previous = this.#batches.at(-1)?.readyMs ?? 0;
    this.#batches.push({ readyMs: Math.max(previous, readyMs), sentences });
  }

  /** Sends all that has its first start bit before `untilMs`, in order of time. */
  advance(untilMs: number, faults: readonly ByteFault[], sent: Transmission[], dropped: Dropped[]): void {
    for (;;) {
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

  /** End of the last stop bit so far, ms. */
  get endMs(): number {
    return this.#freeMs;
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
        bytes: bytes.subarray(0, Math.max(0, Math.floor((atMs - startMs) / this.byteMs + 1e-9))),
      }));
      last.endMs = atMs;
      last.faults = [...last.faults, ...faults];
      lost(last.text, last.epoch, before - countBytes(last));
    }
    const waiting = [...this.#queue.slice(this.#head), ...this.#batches.flatMap(({ sentences }) => sentences)];
    for (const sentence of waiting) lost(sentence.text, sentence.epoch, countBytes(sentence));
    this.#empty();
    this.#heard.clear();
    this.#batches.length = 0;
    this.#queuedBytes = 0;
    this.#freeMs = Math.min(this.#freeMs, atMs);
  }

  /** Moves a batch into the transmit buffer, as far as it fits. */
  #admit({ readyMs, sentences }: Batch, dropped: Dropped[]): void {
    const { transmitBufferBytes, overflow } = this.#options;
    const inFlight = Math.max(0, Math.ceil((this.#freeMs - readyMs) / this.byteMs));
    if (this.#head === this.#queue.length) this.#freeMs = Math.max(this.#freeMs, readyMs);
    for (const sentence of sentences) {
      const length = countBytes(sentence);
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
    const endMs = startMs + length * this.byteMs;
    this.#freeMs = endMs;
    transmission.startMs = startMs;
    transmission.endMs = endMs;
    if (transmission.segments !== null) {
      transmission.segments = transmission.segments.map(({ bytes }) => ({ startMs, bytes }));
    }
    if (faults.length > 0) applyByteFaults(transmission, faults, this.byteMs);
    this.#last = transmission;
    const sentBytes = countBytes(transmission);
    if (sentBytes > 0) sent.push(transmission);
    if (sentBytes < length) {
      const { epoch, text, faults: hands } = transmission;
      dropped.push({ epoch, atMs: startMs, text, bytes: length - sentBytes, reason: 'fault', faults: hands });
    }
  }

  /** Sends what the next byte fault puts before an item; false where none has anything left to put there. */
  #before(epoch: number, startMs: number, faults: readonly ByteFault[], sent: Transmission[]): boolean {
    for (const { id, kind, beginMs, endMs: faultEndMs, effect } of faults) {
      if (effect.before === undefined || this.#heard.has(id) || startMs < beginMs || startMs >= faultEndMs) continue;
      this.#heard.add(id);
      const bytes = effect.before();
      if (bytes === null) continue;
      const endMs = startMs + bytes.length * this.byteMs;
      const segments = [{ startMs, bytes }];
      const transmission: Transmission = {
        kind: 'bytes',
        epoch,
        text: '',
        cause: kind,
        startMs,
        endMs,
        faults: [id],
        segments,
      };
      applyByteFaults(transmission, faults, this.byteMs);
      this.#freeMs = endMs;
      this.#last = transmission;
      if (countBytes(transmission) > 0) sent.push(transmission);
      return true;
    }
    return false;
  }
}
