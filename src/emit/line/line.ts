import { applyByteFaults, type ByteFault } from './byte-faults.js';
import { bytesFromLatin1, type Dropped, segmentsOf, type Transmission } from './transmission.js';

/** Bit times of a byte: start bit, eight data bits, stop bit. */
const BITS_PER_BYTE = 10;
/** Sentences that have gone are forgotten when so many stand before those that wait. */
const LONGEST_PAST = 256;

/** A sentence that the module hands to its UART. */
export interface OutgoingSentence {
  /** `$…*hh`. */
  readonly text: string;
  /** What is sent in place of text and CR LF, a character a byte; null: just that. */
  readonly altered: string | null;
  readonly faults: readonly string[];
}

/** What waits in the transmit buffer. */
class Item {
  /** Byte faults have had their say on what comes before it. */
  isAnnounced = false;

  constructor(
    readonly epoch: number,
    readonly text: string,
    readonly altered: string | null,
    readonly faults: readonly string[],
    readonly length: number,
  ) {}
}

interface Batch {
  readonly readyMs: number;
  readonly epoch: number;
  readonly sentences: readonly OutgoingSentence[];
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
  readonly #queue: Item[] = [];
  /** Place of the first that waits; what is before it has gone. */
  #head = 0;
  #queuedBytes = 0;
  /** End of the last stop bit so far. */
  #freeMs = 0;
  #last: Transmission | null = null;

  constructor(options: LineOptions) {
    this.#options = options;
    this.byteMs = (1000 * BITS_PER_BYTE) / options.baud;
  }

  /** Hands sentences over at `readyMs`, not before any handed over earlier. */
  submit(readyMs: number, epoch: number, sentences: readonly OutgoingSentence[]): void {
    const previous = this.#batches.at(-1)?.readyMs ?? 0;
    this.#batches.push({ readyMs: Math.max(previous, readyMs), epoch, sentences });
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
    const lost = (text: string, epoch: number, bytes: number) =>
      dropped.push({ epoch, atMs, text, bytes, reason: 'power', faults });
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
    for (const { text, epoch, length } of this.#queue.slice(this.#head)) lost(text, epoch, length);
    for (const batch of this.#batches) {
      for (const { text, altered } of batch.sentences) lost(text, batch.epoch, altered?.length ?? text.length + 2);
    }
    this.#empty();
    this.#batches.length = 0;
    this.#queuedBytes = 0;
    this.#freeMs = Math.min(this.#freeMs, atMs);
  }

  /** Moves a batch into the transmit buffer, as far as it fits. */
  #admit({ readyMs, epoch, sentences }: Batch, dropped: Dropped[]): void {
    const { transmitBufferBytes, overflow } = this.#options;
    const inFlight = Math.max(0, Math.ceil((this.#freeMs - readyMs) / this.byteMs));
    if (this.#head === this.#queue.length) this.#freeMs = Math.max(this.#freeMs, readyMs);
    for (const sentence of sentences) {
      const length = sentence.altered === null ? sentence.text.length + 2 : sentence.altered.length;
      const room = transmitBufferBytes - this.#queuedBytes - inFlight;
      if (length <= room) {
        this.#push(new Item(epoch, sentence.text, sentence.altered, sentence.faults, length));
        continue;
      }
      const kept = overflow === 'cut' ? Math.max(0, room) : 0;
      const { text, faults } = sentence;
      dropped.push({ epoch, atMs: readyMs, text, bytes: length - kept, reason: 'transmit-buffer', faults });
      if (kept === 0) continue;
      const altered = (sentence.altered ?? `${text}\r\n`).slice(0, kept);
      this.#push(new Item(epoch, text, altered, faults, kept));
    }
  }

  #empty(): void {
    this.#queue.length = 0;
    this.#head = 0;
  }

  #push(item: Item): void {
    this.#queue.push(item);
    this.#queuedBytes += item.length;
  }

  #transmit(item: Item, startMs: number, faults: readonly ByteFault[], sent: Transmission[], dropped: Dropped[]): void {
    if (!item.isAnnounced) {
      item.isAnnounced = true;
      const extra = faults.length === 0 ? [] : this.#before(item, startMs, faults);
      if (extra.length > 0) {
        sent.push(...extra);
        return;
      }
    }
    this.#head++;
    if (this.#head === this.#queue.length) this.#empty();
    else if (this.#head > LONGEST_PAST) {
      this.#queue.splice(0, this.#head);
      this.#head = 0;
    }
    this.#queuedBytes -= item.length;
    const endMs = startMs + item.length * this.byteMs;
    this.#freeMs = endMs;
    const transmission: Transmission = {
      kind: 'sentence',
      epoch: item.epoch,
      text: item.text,
      cause: '',
      startMs,
      endMs,
      faults: item.faults,
      segments: item.altered === null ? null : [{ startMs, bytes: bytesFromLatin1(item.altered) }],
    };
    if (faults.length > 0) applyByteFaults(transmission, faults, this.byteMs);
    this.#last = transmission;
    const sentBytes = transmission.segments === null ? item.length : countBytes(transmission);
    if (sentBytes > 0) sent.push(transmission);
    if (sentBytes < item.length) {
      const { epoch, text, faults: hands } = transmission;
      dropped.push({ epoch, atMs: startMs, text, bytes: item.length - sentBytes, reason: 'fault', faults: hands });
    }
  }

  /** What byte faults put before an item. */
  #before(item: Item, startMs: number, faults: readonly ByteFault[]): Transmission[] {
    const extra: Transmission[] = [];
    for (const { id, kind, beginMs, endMs: faultEndMs, effect } of faults) {
      const atMs = Math.max(startMs, this.#freeMs);
      if (effect.before === undefined || atMs < beginMs || atMs >= faultEndMs) continue;
      const bytes = effect.before();
      if (bytes === null) continue;
      const endMs = atMs + bytes.length * this.byteMs;
      const transmission: Transmission = {
        kind: 'bytes',
        epoch: item.epoch,
        text: '',
        cause: kind,
        startMs: atMs,
        endMs,
        faults: [id],
        segments: [{ startMs: atMs, bytes }],
      };
      applyByteFaults(transmission, faults, this.byteMs);
      this.#freeMs = endMs;
      this.#last = transmission;
      if (countBytes(transmission) > 0) extra.push(transmission);
    }
    return extra;
  }
}

/** Bytes that a transmission puts on the line. */
export function countBytes(transmission: Transmission): number {
  if (transmission.segments === null) return transmission.text.length + 2;
  let count = 0;
  for (const { bytes } of transmission.segments) count += bytes.length;
  return count;
}
