import { applyByteFaults, type ByteFault, type ByteLayer, endByteFault, hasTouched, putPieces } from './byte-faults.js';
import { countBytes, type Dropped, type Segment, type Transmission } from './transmission.js';

/** What faults that came into force together have lost of an item. */
interface Strike {
  readonly atMs: number;
  readonly layers: readonly ByteLayer[];
  /** What is lost is on record. */
  readonly isCounted: boolean;
  loss: Dropped | null;
}

/** The item on the line, and what faults have made of it: as long as it is there, one of them may yet end. */
export class StruckItem {
  /** What is on the line; another one where nothing of the first has gone out, and it begins at another time. */
  #item: Transmission;
  readonly #segments: readonly Segment[] | null;
  readonly #faults: readonly string[];
  readonly #startMs: number;
  readonly #endMs: number;
  readonly #strikes: Strike[] = [];
  /** It has been handed on to what takes all that goes out. */
  #isSent: boolean;

  /**
   * @param item timed, and not yet struck by any fault
   * @param isSent it has been handed on
   */
  constructor(item: Transmission, isSent = false) {
    this.#item = item;
    this.#isSent = isSent;
    this.#segments = item.segments;
    this.#faults = item.faults;
    this.#startMs = item.startMs;
    this.#endMs = item.endMs;
  }

  get transmission(): Transmission {
    return this.#item;
  }

  /**
   * Faults act on what is still to come of it.
   * @param atMs when they came into force, or the item began
   * @param dropped takes what they have lost; null: what is lost is not on record
   */
  strike(faults: readonly ByteFault[], atMs: number, dropped: Dropped[] | null): void {
    const before = countBytes(this.#item);
    const layers: ByteLayer[] = [];
    applyByteFaults(this.#item, faults, layers);
    const bytes = before - countBytes(this.#item);
    const loss = dropped === null ? null : this.#lose(bytes, atMs, this.#item.faults);
    if (loss !== null) dropped?.push(loss);
    this.#strikes.push({ atMs, layers, isCounted: dropped !== null, loss });
  }

  /** Hands it on, unless nothing is left of it. */
  send(sent: Transmission[]): void {
    if (this.#isSent || countBytes(this.#item) === 0) return;
    this.#isSent = true;
    sent.push(this.#item);
  }

  /** A fault ends at `atMs`, earlier than it was to: bytes that begin later are as without it. */
  end(id: string, atMs: number, sent: Transmission[], dropped: Dropped[]): void {
    const layers = this.#strikes.flatMap((strike) => strike.layers);
    if (!layers.some(({ fault }) => fault.id === id)) return;
    const { startMs } = this.#item;
    endByteFault(layers, id, atMs, this.#item.byteMs);
    this.#put(layers);
    if (this.#isSent && startMs >= atMs && this.#item.startMs !== startMs) this.#replace(startMs);
    this.send(sent);
    this.#recount(atMs, dropped);
  }

  /** The item as its faults leave it. */
  #put(layers: readonly ByteLayer[]): void {
    const item = this.#item;
    const touching = layers.filter(hasTouched);
    item.faults = [...this.#faults, ...touching.map(({ fault }) => fault.id)];
    item.startMs = this.#startMs;
    item.endMs = this.#endMs;
    if (touching.length === 0) item.segments = this.#segments;
    else putPieces(item, layers.at(-1)?.after ?? []);
  }

  /** Nothing of it has gone out, and it begins at another time than was said: it is another item, and this one none. */
  #replace(saidMs: number): void {
    const item = this.#item;
    this.#item = { ...item };
    this.#isSent = false;
    item.segments = [];
    item.startMs = saidMs;
    item.endMs = saidMs;
    item.freeMs = saidMs;
    item.isProof = false;
  }

  /** What each strike has lost, now that one of the faults has lost less. */
  #recount(atMs: number, dropped: Dropped[]): void {
    const faults = [...this.#faults];
    for (const strike of this.#strikes) {
      let bytes = 0;
      for (const layer of strike.layers) {
        bytes += sizeOf(layer.before) - sizeOf(layer.after);
        if (hasTouched(layer)) faults.push(layer.fault.id);
      }
      const { loss, isCounted } = strike;
      if (!isCounted) continue;
      if (loss !== null) {
        loss.bytes = bytes;
        loss.faults = [...faults];
        continue;
      }
      strike.loss = this.#lose(bytes, Math.max(atMs, strike.atMs), [...faults]);
      if (strike.loss !== null) dropped.push(strike.loss);
    }
  }

  #lose(bytes: number, atMs: number, faults: readonly string[]): Dropped | null {
    if (bytes === 0) return null;
    const { epoch, text, freeMs } = this.#item;
    return { epoch, atMs, text, bytes, reason: 'fault', faults, finalMs: freeMs };
  }
}

function sizeOf(pieces: readonly Segment[]): number {
  return pieces.reduce((size, { bytes }) => size + bytes.length, 0);
}
