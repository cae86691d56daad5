import { BITS_PER_BYTE } from '../base/constants.js';
import { Bunches } from '../emit/line/bunches.js';
import { byteMsAt, type Transmission } from '../emit/line/transmission.js';
import { type Framing, UartReader } from '../emit/line/uart-reader.js';
import type { Bunching } from '../emit/module-profile.js';
import { Outlet } from './outlet.js';

/**
 * The way from the module's line to the host: hands out each byte when the host gets it. While the host's speed is the
 * line's, or nobody knows it, that is when the stop bit has ended. Else the host's UART reads what is on the line; of a
 * byte on it, which the module may yet lose with its power, nothing is read before its stop bit has ended.
 */
export class Delivery {
  readonly #outlet = new Outlet();
  readonly #send: (bytes: string) => void;
  readonly #framing: Framing;
  readonly #reader: UartReader;
  /** Null: nobody knows it, and it is taken to be the line's. */
  #hostBaud: number | null = null;
  /** Ten bit times at the host's speed, ms; 0 where that is unknown. */
  #hostByteMs = 0;
  /** The reader reads what is on the line; else that is passed on as it is. Decided at the start of a transmission. */
  #isReading = false;
  #bunches: Bunches | null = null;
  /** What the host has got and has not been sent yet. */
  #text = '';

  /**
   * @param send takes bytes as the host gets them, a character each (latin1)
   * @param bunching how a bridge delivers them; null: each as its stop bit ends
   * @param framing what the host's UART makes of a byte whose stop bit reads low
   */
  constructor(send: (bytes: string) => void, bunching: Bunching | null, framing: Framing = 'as-read') {
    this.#send = send;
    this.#framing = framing;
    this.#reader = new UartReader(null, framing, (byte, atMs) => this.#arrive(byte, atMs));
    this.bunch(bunching);
  }

  /** What will go over the line. */
  push(transmissions: readonly Transmission[]): void {
    this.#outlet.push(transmissions);
  }

  /** When something is due next, ms; Infinity: nothing is. */
  get nextMs(): number {
    const outMs = this.#outlet.nextMs;
    if (!this.#isReading) return this.#bunches === null ? outMs : Math.min(outMs, this.#bunches.nextMs);
    const ownMs = Math.min(this.#reader.nextMs, this.#bunches?.nextMs ?? Infinity);
    return ownMs < this.#outlet.nextStartMs ? Math.min(outMs, ownMs) : outMs;
  }

  /** Hands out all that has come by `nowMs`. */
  deliver(nowMs: number): void {
    if (this.#hostBaud !== null || this.#bunches !== null || this.#isReading) this.#collect(nowMs);
    else this.#text += this.#outlet.take(nowMs);
    this.#release();
  }

  /** The run is over, and nothing more goes over the line: what the host would yet get it gets now. */
  flush(): void {
    if (this.#isReading) this.#reader.idleThrough(Infinity);
    this.#bunches?.finish();
    this.#release();
  }

  /**
   * The host's UART runs at this speed from `nowMs` on, a time up to which all has been delivered or will be; null: at
   * the module's, whatever that is.
   */
  setHostBaud(baud: number | null, nowMs: number): void {
    if (baud === this.#hostBaud) return;
    this.#hostBaud = baud;
    this.#hostByteMs = baud === null ? 0 : byteMsAt(baud);
    this.#reader.setBaud(baud, nowMs);
    this.#isReading = true;
  }

  /** What the module's UART makes of bytes that the host sends, one after the other without a gap. */
  hear(bytes: Uint8Array, moduleBaud: number): Uint8Array {
    const hostBaud = this.#hostBaud;
    if (hostBaud === null || hostBaud === moduleBaud) return bytes;
    const heard: number[] = [];
    const reader = new UartReader(moduleBaud, this.#framing, (byte) => heard.push(byte));
    for (const [place, byte] of bytes.entries()) reader.put(byte, place * this.#hostByteMs, hostBaud);
    reader.idleThrough(Infinity);
    return Uint8Array.from(heard);
  }

  /** Bytes are delivered in bunches from here on, or each as it comes (null); what waits goes out. */
  bunch(bunching: Bunching | null): void {
    const bunches = this.#bunches;
    if (bunches !== null) {
      bunches.finish();
      for (let bunch = bunches.take(); bunch !== undefined; bunch = bunches.take()) this.#text += bunch;
    }
    this.#bunches = bunching === null ? null : new Bunches(bunching);
  }

  /** Forgets what has not begun by `nowMs`. @returns when what has begun will be out, ms */
  stopAfter(nowMs: number): number {
    return this.#outlet.stopAfter(nowMs);
  }

  /** Takes from what has begun all that is not out. */
  cut(nowMs: number): void {
    this.#outlet.cut(nowMs);
  }

  /** Collects what the host has got by `nowMs`. */
  #collect(nowMs: number): void {
    const outlet = this.#outlet;
    for (let first = outlet.first; first !== undefined && first.startMs < nowMs; first = outlet.first) {
      if (outlet.isAtStart) this.#choose(first);
      if (this.#isReading || this.#bunches !== null) {
        if (!outlet.pass(nowMs, this.#pass)) break;
      } else {
        this.#text += outlet.take(nowMs, this.#hostByteMs);
        // Only what is at another speed is left for another round.
        if (outlet.first === first) break;
      }
    }
    if (!this.#isReading) {
      this.#bunches?.wait(nowMs);
      return;
    }
    const startMs = outlet.nextStartMs;
    if (startMs <= nowMs) this.#reader.idleBefore(startMs);
    else this.#reader.idleThrough(nowMs);
    this.#bunches?.wait(Math.min(startMs, nowMs));
  }

  /** Whether the reader is needed for what begins: not where the host will read it as it is. */
  #choose({ startMs, byteMs }: Transmission): void {
    if (this.#isReading) this.#reader.idleBefore(startMs);
    this.#isReading = !this.#reader.isReady || (this.#hostByteMs !== 0 && byteMs !== this.#hostByteMs);
  }

  /** A byte has gone over the line. */
  readonly #pass = (byte: number, startMs: number, byteMs: number): void => {
    if (this.#isReading) this.#reader.put(byte, startMs, Math.round((1000 * BITS_PER_BYTE) / byteMs));
    else this.#arrive(byte, startMs + byteMs);
  };

  /** The host's UART has a byte. */
  #arrive(byte: number, atMs: number): void {
    if (this.#bunches === null) this.#text += String.fromCharCode(byte);
    else this.#bunches.put(byte, atMs);
  }

  /** Sends what the host has got. Whoever takes it may well find out then that the host has changed its speed. */
  #release(): void {
    const text = this.#text;
    this.#text = '';
    if (text !== '') this.#send(text);
    const bunches = this.#bunches;
    for (let bunch = bunches?.take(); bunch !== undefined; bunch = bunches?.take()) this.#send(bunch);
  }
}
