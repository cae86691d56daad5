import { segmentsOf, type Transmission } from '../emit/line/transmission.js';

/** Rounding of a stop bit's time, in bytes: far below a bit at any speed. */
const ROUNDING = 1e-6;

/** So many that are out may stand in the queue: more would grow old in memory, and be dear to clear away. */
const LONGEST_PAST = 32;

/** Takes a byte that is out: when its start bit began, and how long it was on the line, ms. */
type PassByte = (byte: number, startMs: number, byteMs: number) => void;

/** What is on its way over the line: hands out each byte once its stop bit has ended. */
export class Outlet {
  #queue: Transmission[] = [];
  /** Place of the first transmission that is not yet out, and how many of its bytes are. */
  #head = 0;
  #out = 0;

  push(transmissions: readonly Transmission[]): void {
    for (const transmission of transmissions) this.#queue.push(transmission);
  }

  /** The first transmission that is not yet out. */
  get first(): Transmission | undefined {
    return this.#queue[this.#head];
  }

  /** No byte of the first transmission is out yet. */
  get isAtStart(): boolean {
    return this.#out === 0;
  }

  /**
   * The bytes that have come since the last call, one character each (latin1), up to `nowMs`.
   * @param byteMs stops before the first transmission at another speed than this, ms a byte; 0: none is
   */
  take(nowMs: number, byteMs = 0): string {
    let text = '';
    while (this.#head < this.#queue.length) {
      const transmission = this.#queue[this.#head] as Transmission;
      if (transmission.startMs >= nowMs) break;
      if (byteMs > 0 && transmission.byteMs !== byteMs) break;
      text += this.#part(transmission, nowMs);
      if (overMs(transmission) > nowMs) break;
      this.#head++;
      this.#out = 0;
    }
    this.#clear();
    return text;
  }

  /**
   * Passes on, one by one, the bytes of the first transmission that have come since the last call, up to `nowMs`.
   * @returns true: it is through, and the next one is the first
   */
  pass(nowMs: number, to: PassByte): boolean {
    const transmission = this.#queue[this.#head];
    if (transmission === undefined || transmission.startMs >= nowMs) return false;
    const { byteMs } = transmission;
    const isOut = transmission.endMs <= nowMs;
    let before = 0;
    for (const { startMs, bytes } of segmentsOf(transmission)) {
      const due = isOut ? bytes.length : dueBytes(bytes.length, nowMs - startMs, byteMs);
      for (let i = Math.max(0, this.#out - before); i < due; i++) to(bytes[i] as number, startMs + i * byteMs, byteMs);
      this.#out = Math.max(this.#out, before + due);
      before += bytes.length;
      if (due < bytes.length) break;
    }
    if (overMs(transmission) > nowMs) return false;
    this.#head++;
    this.#out = 0;
    this.#clear();
    return true;
  }

  /** When the next byte is due, ms; Infinity where none waits. */
  get nextMs(): number {
    return this.#nextMs(1);
  }

  /** When the start bit of the next byte begins or began, ms, or a time before it; Infinity where none waits. */
  get nextStartMs(): number {
    return this.#nextMs(0);
  }

  /** Forgets what has not begun by `nowMs`; when what has begun will be out, ms. */
  stopAfter(nowMs: number): number {
    this.#queue = this.#queue.slice(this.#head).filter(({ startMs }) => startMs < nowMs);
    this.#head = 0;
    return this.#queue.at(-1)?.endMs ?? nowMs;
  }

  /** Takes from what has begun all that is not out. */
  cut(nowMs: number): void {
    const transmission = this.#queue[this.#head];
    if (transmission === undefined) return;
    let left = this.#out;
    transmission.segments = segmentsOf(transmission).map(({ startMs, bytes }) => {
      const kept = bytes.subarray(0, left);
      left -= kept.length;
      return { startMs, bytes: kept };
    });
    transmission.endMs = Math.min(transmission.endMs, nowMs);
    transmission.freeMs = transmission.endMs;
    this.#queue.length = this.#head;
    this.#out = 0;
  }

  /** When so much of the next byte is over, 0 or 1; the end of a transmission of which nothing more comes. */
  #nextMs(part: number): number {
    const transmission = this.#queue[this.#head];
    if (transmission === undefined) return Infinity;
    let before = 0;
    for (const { startMs, bytes } of segmentsOf(transmission)) {
      if (this.#out < before + bytes.length) return startMs + (this.#out - before + part) * transmission.byteMs;
      before += bytes.length;
    }
    return overMs(transmission);
  }

  #clear(): void {
    if (this.#head <= LONGEST_PAST && this.#head !== this.#queue.length) return;
    this.#queue.splice(0, this.#head);
    this.#head = 0;
  }

  #part(transmission: Transmission, nowMs: number): string {
    if (transmission.segments === null) {
      const whole = `${transmission.text}\r\n`;
      if (transmission.endMs <= nowMs) return this.#out === 0 ? whole : whole.slice(this.#out);
      const count = Math.max(this.#out, Math.floor((nowMs - transmission.startMs) / transmission.byteMs + ROUNDING));
      const part = whole.slice(this.#out, count);
      this.#out = count;
      return part;
    }
    let text = '';
    let before = 0;
    const from = this.#out;
    for (const { startMs, bytes } of transmission.segments) {
      const isOut = transmission.endMs <= nowMs;
      const due = isOut ? bytes.length : dueBytes(bytes.length, nowMs - startMs, transmission.byteMs);
      for (let i = Math.max(0, from - before); i < due; i++) text += String.fromCharCode(bytes[i] as number);
      this.#out = Math.max(this.#out, before + due);
      before += bytes.length;
      if (due < bytes.length) break;
    }
    return text;
  }
}

/** When no byte of it can come any more, ms: what a fault has lost of its end may come back until the line is free. */
function overMs({ endMs, freeMs }: Transmission): number {
  return freeMs > endMs ? freeMs : endMs;
}

/** How many of so many bytes are out, so long after the first start bit. */
function dueBytes(length: number, elapsedMs: number, byteMs: number): number {
  return Math.max(0, Math.min(length, Math.floor(elapsedMs / byteMs + ROUNDING)));
}
