import type { Bunching } from '../module-profile.js';

/**
 * Bytes as a bridge between UART and USB delivers them: a bunch goes out when it has its full number of bytes, or once
 * its oldest byte has waited for the hold time.
 */
export class Bunches {
  readonly #bunching: Bunching;
  readonly #ready: string[] = [];
  #waiting = '';
  #oldestMs = 0;

  constructor(bunching: Bunching) {
    this.#bunching = bunching;
  }

  /** When the bunch that is being collected has waited long enough, ms; Infinity: nothing waits. */
  get nextMs(): number {
    return this.#waiting === '' ? Infinity : this.#oldestMs + this.#bunching.holdMs;
  }

  /** A byte has come at `atMs`, not before any other. */
  put(byte: number, atMs: number): void {
    if (atMs > this.nextMs) this.finish();
    if (this.#waiting === '') this.#oldestMs = atMs;
    this.#waiting += String.fromCharCode(byte);
    if (this.#waiting.length >= this.#bunching.packetBytes) this.finish();
  }

  /** No byte has come since that was not put: what has waited long enough by `nowMs` is ready. */
  wait(nowMs: number): void {
    if (this.nextMs <= nowMs) this.finish();
  }

  /** What waits is ready, however little it is. */
  finish(): void {
    if (this.#waiting !== '') this.#ready.push(this.#waiting);
    this.#waiting = '';
  }

  /** The next bunch that is ready, a character a byte; undefined: none is. */
  take(): string | undefined {
    return this.#ready.shift();
  }
}
