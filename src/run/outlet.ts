import { segmentsOf, type Transmission } from '../emit/line/transmission.js';

/** Rounding of a stop bit's time, in bytes: far below a bit at any speed. */
const ROUNDING = 1e-6;

/** So many that are out may stand in the queue: more would grow old in memory, and be dear to clear away. */
const LONGEST_PAST = 32;

/** What is on its way over the line: hands out each byte once its stop bit has ended. */
export class Outlet {
  #queue: Transmission[] = [];
  /** Place of the first transmission that is not yet out, and how many of its bytes are. */
  #head = 0;
  #out = 0;

  push(transmissions: readonly Transmission[]): void {
    for (const transmission of transmissions) this.#queue.push(transmission);
  }

  /** The bytes that have come since the last call, one character each (latin1), up to `nowMs`. */
  take(nowMs: number): string {
    let text = '';
    while (this.#head < this.#queue.length) {
      const transmission = this.#queue[this.#head] as Transmission;
      if (transmission.startMs >= nowMs) break;
      text += this.#part(transmission, nowMs);
      if (transmission.endMs > nowMs) break;
      this.#head++;
      this.#out = 0;
    }
    if (this.#head > LONGEST_PAST || this.#head === this.#queue.length) {
      this.#queue.splice(0, this.#head);
      this.#head = 0;
    }
    return text;
  }

  /** When the next byte is due, ms; Infinity where none waits. */
  get nextMs(): number {
    const transmission = this.#queue[this.#head];
    if (transmission === undefined) return Infinity;
    let before = 0;
    for (const { startMs, bytes } of segmentsOf(transmission)) {
      if (this.#out < before + bytes.length) return startMs + (this.#out - before + 1) * transmission.byteMs;
      before += bytes.length;
    }
    return transmission.endMs;
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
    this.#queue.length = this.#head;
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
      const due = isOut
        ? bytes.length
        : Math.min(bytes.length, Math.floor((nowMs - startMs) / transmission.byteMs + ROUNDING));
      for (let i = Math.max(0, from - before); i < due; i++) text += String.fromCharCode(bytes[i] as number);
      this.#out = Math.max(this.#out, before + Math.max(0, due));
      before += bytes.length;
      if (due < bytes.length) break;
    }
    return text;
  }
}
