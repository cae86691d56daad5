import { BITS_PER_BYTE } from '../../base/constants.js';

/** What a UART makes of a byte whose stop bit reads low: what it sampled (as a raw terminal gives it), NUL, nothing. */
export type Framing = 'as-read' | 'nul' | 'dropped';

/** Takes what a UART has read, each byte with the time at which its stop bit was sampled, ms. */
type TakeByte = (byte: number, atMs: number) => void;

/** Samples of a byte: the start bit, eight data bits, the stop bit. */
const STOP = BITS_PER_BYTE - 1;
/** A sample is taken half a bit and a 32nd after the bit's begin: 17 of 32 parts. */
const PARTS_PER_BIT = 32;
const SAMPLE_PARTS = 17;
/** No byte is being read: a falling edge is looked for. */
const LOOKING = -1;
/** Bytes less than this apart follow each other without a gap, ms: far below a bit at any speed. */
const NO_GAP_MS = 1e-6;
/** What sums of some doubles may be off by, as a share of them: a sample so little before a boundary is at it. */
const ROUNDING = 2 ** -46;

/** From this time on the UART runs at another speed. */
interface Change {
  readonly baud: number | null;
  readonly atMs: number;
}

/**
 * A UART (8N1) that reads a line on which another one sends at a speed of its own. Bytes are put on the line in order,
 * between them it idles high; levels change at bit boundaries. A falling edge starts a byte; samples are taken
 * k + 1/2 + 1/32 of the reader's bit times after it, k = 0 for the start bit (where it reads high the start was false),
 * 1 to 8 for the data, 9 for the stop bit. The next edge is looked for from the last sample on; where that read low,
 * the line must have been high again. Where bytes follow each other without a gap, whole numbers tell which bit a
 * sample falls into, so that no rounding has a say.
 *
 * Source: how UARTs work, common practice; the 32nd is a choice of ours: at twice or four times the speed no sample
 * meets a bit boundary.
 */
export class UartReader {
  readonly #framing: Framing;
  readonly #take: TakeByte;
  readonly #changes: Change[] = [];
  /** The reader's speed; null: the line's, whatever that is. */
  #baud: number | null;
  /** A 32nd of the reader's bit, ms. */
  #partMs = 0;
  #lineBaud = 0;
  #bitMs = 0;
  /** Begin, end and levels of the byte on the line; bit 0 of the word is the start bit. */
  #startMs = 0;
  #endMs = Number.NEGATIVE_INFINITY;
  #word = 0;
  /** For each sample, how many bits of the line it falls behind the edge; the second for a byte read across a gap. */
  readonly #within = new Float64Array(BITS_PER_BYTE);
  readonly #across = new Float64Array(BITS_PER_BYTE);
  #places = this.#within;
  /** The edge, in bits after the begin of the byte on the line, and its time. */
  #edge = 0;
  #edgeMs = 0;
  /** The sample that is next. */
  #next = LOOKING;
  #value = 0;

  /** @param baud null: reads at the line's speed, whatever that is */
  constructor(baud: number | null, framing: Framing, take: TakeByte) {
    this.#baud = baud;
    this.#framing = framing;
    this.#take = take;
  }

  /** It looks for an edge, and its speed does not change: the next byte at its own speed will be read as it is. */
  get isReady(): boolean {
    return this.#next === LOOKING && this.#changes.length === 0;
  }

  /** When the byte that is being read will be whole, if its speed stays, ms; Infinity: none is being read. */
  get nextMs(): number {
    return this.#next === LOOKING ? Infinity : this.#sampleMs(STOP);
  }

  /**
   * The reader runs at this speed from `atMs` on: it drops what it is at and looks for edges anew in what is on the
   * line. Changes come in order of time, and before a byte is put that is on the line then.
   */
  setBaud(baud: number | null, atMs: number): void {
    this.#changes.push({ baud, atMs });
  }

  /** A byte stands on the line from `startMs` on, not before the end of the one before; all of it is read. */
  put(byte: number, startMs: number, lineBaud: number): void {
    this.#changeInIdle(startMs);
    if (lineBaud === this.#lineBaud && Math.abs(startMs - this.#endMs) <= NO_GAP_MS) this.#edge -= BITS_PER_BYTE;
    else this.#resume(startMs, lineBaud);
    this.#startMs = startMs;
    this.#endMs = startMs + BITS_PER_BYTE * this.#bitMs;
    this.#word = (1 << STOP) | (byte << 1);
    let from = 0;
    for (let change = this.#changes[0]; change !== undefined && change.atMs < this.#endMs; change = this.#changes[0]) {
      this.#read(from, change.atMs);
      this.#change();
      from = Math.max(0, Math.ceil((change.atMs * (1 - ROUNDING) - startMs) / this.#bitMs));
    }
    this.#read(from, Infinity);
  }

  /** Nothing has been put on the line that begins before `untilMs`. */
  idleBefore(untilMs: number): void {
    this.#changeInIdle(untilMs);
    this.#readHigh(untilMs * (1 - ROUNDING));
  }

  /** Nothing has been put on the line that begins at `untilMs` or before. */
  idleThrough(untilMs: number): void {
    this.#changeInIdle(untilMs);
    while (this.#next !== LOOKING && this.#sampleMs(this.#next) <= untilMs) this.#sample(1);
  }

  /** Time of a sample of the byte that is being read, ms. */
  #sampleMs(sample: number): number {
    return this.#edgeMs + (PARTS_PER_BIT * sample + SAMPLE_PARTS) * this.#partMs;
  }

  #readHigh(untilMs: number): void {
    while (this.#next !== LOOKING && this.#sampleMs(this.#next) < untilMs) this.#sample(1);
  }

  #changeInIdle(untilMs: number): void {
    for (let change = this.#changes[0]; change !== undefined && change.atMs <= untilMs; change = this.#changes[0]) {
      this.#readHigh(change.atMs);
      this.#change();
    }
  }

  #change(): void {
    const { baud } = this.#changes.shift() as Change;
    const before = this.#baud ?? this.#lineBaud;
    this.#baud = baud;
    if ((baud ?? this.#lineBaud) === before) return;
    this.#next = LOOKING;
    this.#measure();
  }

  /** Which bits samples fall into, counted from the edge. */
  #measure(): void {
    const baud = this.#baud ?? this.#lineBaud;
    this.#partMs = 1000 / (PARTS_PER_BIT * baud);
    for (let sample = 0; sample <= STOP; sample++) {
      const parts = PARTS_PER_BIT * sample + SAMPLE_PARTS;
      // Numbers below 2^53, and a quotient that is no whole number is further from one than it is rounded.
      this.#within[sample] = Math.floor((parts * this.#lineBaud) / (PARTS_PER_BIT * baud));
    }
  }

  /** The next byte comes after a gap or at another speed; one that is being read goes on, by time. */
  #resume(startMs: number, lineBaud: number): void {
    const bitMs = 1000 / lineBaud;
    for (let sample = this.#next; sample >= 0 && sample <= STOP; sample++) {
      this.#across[sample] = Math.floor((this.#sampleMs(sample) - startMs * (1 - ROUNDING)) / bitMs);
    }
    this.#places = this.#across;
    this.#edge = 0;
    if (lineBaud === this.#lineBaud && this.#partMs > 0) return;
    this.#lineBaud = lineBaud;
    this.#bitMs = bitMs;
    this.#measure();
  }

  /** Reads the byte on the line: edges from bit `from` on, and all samples, before `untilMs`. */
  #read(from: number, untilMs: number): void {
    // Bits that are low, where the bit before is high; before the start bit the line always is.
    const falls = ~this.#word & ((this.#word << 1) | 1) & ((1 << BITS_PER_BYTE) - 1);
    let place = from - 1;
    for (;;) {
      if (this.#next === LOOKING) {
        const left = (falls >> (place + 1)) << (place + 1);
        if (left === 0) return;
        const edge = 31 - Math.clz32(left & -left);
        const edgeMs = this.#startMs + edge * this.#bitMs;
        if (edgeMs >= untilMs) return;
        this.#places = this.#within;
        this.#edge = edge;
        this.#edgeMs = edgeMs;
        this.#next = 0;
        this.#value = 0;
      }
      place = this.#edge + (this.#places[this.#next] as number);
      if (place >= BITS_PER_BYTE || this.#sampleMs(this.#next) >= untilMs) return;
      this.#sample(place < 0 ? 1 : (this.#word >> place) & 1);
      place = Math.max(place, -1);
    }
  }

  /** Takes the next sample. */
  #sample(level: number): void {
    const sample = this.#next;
    if (sample === 0) {
      this.#next = level === 0 ? 1 : LOOKING;
    } else if (sample < STOP) {
      this.#value |= level << (sample - 1);
      this.#next = sample + 1;
    } else {
      this.#next = LOOKING;
      if (level === 1 || this.#framing === 'as-read') this.#take(this.#value, this.#sampleMs(STOP));
      else if (this.#framing === 'nul') this.#take(0, this.#sampleMs(STOP));
    }
  }
}
