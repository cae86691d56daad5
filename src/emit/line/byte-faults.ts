import { type Segment, segmentsOf, type Transmission } from './transmission.js';

/** What a fault can do to bytes on the line. */
export interface ByteEffect {
  /** Bytes put on the line before an item whose first start bit falls in the fault's time; null for none. */
  readonly before?: () => Uint8Array | null;
  /** Bytes `from` to `to` (excluded) of an item, those with start bits in the fault's time. False: they are muted. */
  readonly pass?: (bytes: Uint8Array, from: number, to: number) => boolean;
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
export function applyByteFaults(transmission: Transmission, faults: readonly ByteFault[], byteMs: number): void {
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
      if (passes) {
        touched ||= copy.some((byte, i) => byte !== bytes[i]);
        left.push({ startMs, bytes: copy });
        continue;
      }
      touched = true;
      if (from > 0) left.push({ startMs, bytes: copy.subarray(0, from) });
      if (to < copy.length) left.push({ startMs: startMs + to * byteMs, bytes: copy.subarray(to) });
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
