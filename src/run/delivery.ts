import type { Transmission } from '../emit/line/transmission.js';
import type { Bunching } from '../emit/module-profile.js';
import { Outlet } from './outlet.js';

/** The way from the module's line to the host: hands out each byte when the host gets it. */
export class Delivery {
  readonly #outlet = new Outlet();
  readonly #send: (bytes: string) => void;

  /**
   * @param send takes bytes as the host gets them, a character each (latin1)
   * @param bunching how a bridge delivers them; null: each as its stop bit ends
   */
  constructor(send: (bytes: string) => void, bunching: Bunching | null) {
    this.#send = send;
    this.bunch(bunching);
  }

  /** What will go over the line. */
  push(transmissions: readonly Transmission[]): void {
    this.#outlet.push(transmissions);
  }

  /** When something is due next, ms; Infinity: nothing is. */
  get nextMs(): number {
    return this.#outlet.nextMs;
  }

  /** Hands out all that has come by `nowMs`. */
  deliver(nowMs: number): void {
    const bytes = this.#outlet.take(nowMs);
    if (bytes !== '') this.#send(bytes);
  }

  /** The host's UART runs at this speed from `nowMs` on; null: at the module's, whatever that is. */
  setHostBaud(_baud: number | null, _nowMs: number): void {}

  /** What the module's UART makes of bytes that the host sends. */
  hear(bytes: Uint8Array, _moduleBaud: number): Uint8Array {
    return bytes;
  }

  /** Bytes are delivered in bunches from here on, or each as it comes (null). */
  bunch(_bunching: Bunching | null): void {}

  /** Forgets what has not begun by `nowMs`. @returns when what has begun will be out, ms */
  stopAfter(nowMs: number): number {
    return this.#outlet.stopAfter(nowMs);
  }

  /** Takes from what has begun all that is not out. */
  cut(nowMs: number): void {
    this.#outlet.cut(nowMs);
  }
}
