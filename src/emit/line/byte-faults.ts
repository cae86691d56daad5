import { type Segment, segmentsOf, type Transmission } from './transmission.js';

/** What a fault can do to bytes on the line. */
export interface ByteEffect {
  /** Bytes put on the line before an item whose first start bit falls in the fault's time; null for none. */
  readonly before?: () => Uint8Array | null;
  /**
   * Bytes `from` to `to` (excluded) of an item, those with start bits in the fault's time: may change them in place.
   * @returns true: they pass; false: all are lost; else places of those that are lost, ascending
   */
  readonly pass?: (bytes: Uint8Array, from: number, to: number) => boolean | readonly number[];
}

/** A fault on the line and when it is in force, ms: [beginMs, endMs). */
export interface ByteFault {
  readonly id: string;
  readonly kind: string;
  readonly beginMs: number;
  readonly endMs: number;
  readonly effect: ByteEffect;
}

/** Rounding of a byte's start: far below a bit time at any speed. */
const TIME_EPSILON = 1e-6;

/** Lets the faults act on the bytes whose start bits fall in their time, in the order of the timeline. */
export function applyByteFaults(transmission: Transmission, faults: readonly ByteFault[]): void {
  const { byteMs } = transmission;
  for (const { id, beginMs, endMs, effect } of faults) {
    if (effect.pass === undefined || beginMs >= transmission.endMs || endMs <= transmission.startMs) continue;
    let touched = false;
    const left: Segment[] = [];
    for (const { startMs, bytes } of segmentsOf(transmission)) {
      const index = (timeMs: number) =>
        Math.min(bytes.length, Math.max(0, Math.ceil((timeMs - startMs) / byteMs - TIME_EPSILON)));
      const from = index(beginMs);
      const to = index(endMs);
      if (from >= to) {
        left.push({ startMs, bytes });
        continue;
      }
      const copy = bytes.slice();
      const passes = effect.pass(copy, from, to);
      touched ||= passes === false || copy.some((byte, i) => byte !== bytes[i]);
      if (passes === true) {
        left.push({ startMs, bytes: copy });
        continue;
      }
      const lost = passes === false ? Array.from({ length: to - from }, (_, i) => from + i) : passes;
      touched ||= lost.length > 0;
      pushWithout(lost, { startMs, bytes: copy }, byteMs, left);
    }
    if (!touched) continue;
    transmission.faults = [...transmission.faults, id];
    transmission.segments = left;
    const [first, last] = [left[0], left.at(-1)];
    if (first === undefined || last === undefined) continue;
    transmission.startMs = first.startMs;
    transmission.endMs = last.startMs + last.bytes.length * byteMs;
  }
}

/** The pieces of a segment that are left without some of its bytes, each at its time. */
function pushWithout(lost: readonly number[], { startMs, bytes }: Segment, byteMs: number, left: Segment[]): void {
  let from = 0;
  for (const place of [...lost, bytes.length]) {
    if (place > from) left.push({ startMs: startMs + from * byteMs, bytes: bytes.subarray(from, place) });
    from = place + 1;
  }
}
