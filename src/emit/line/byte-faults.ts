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

/** What a fault on the line has made of an item: its pieces before and after. */
export interface ByteLayer {
  readonly fault: ByteFault;
  before: readonly Segment[];
  after: readonly Segment[];
}

/**
 * Lets the faults act on the bytes whose start bits fall in their time, in the order of the timeline.
 * @param layers takes what each has done
 */
export function applyByteFaults(
  transmission: Transmission,
  faults: readonly ByteFault[],
  layers: ByteLayer[] = [],
): void {
  const { byteMs } = transmission;
  for (const fault of faults) {
    const { id, beginMs, endMs, effect } = fault;
    if (effect.pass === undefined || beginMs >= transmission.freeMs || endMs <= transmission.startMs) continue;
    const before = segmentsOf(transmission);
    const after = passed(before, fault, byteMs);
    layers.push({ fault, before, after });
    if (after === before) continue;
    transmission.faults = [...transmission.faults, id];
    putPieces(transmission, after);
  }
}

/** What an item consists of from here on: its times are those of what is left. */
export function putPieces(transmission: Transmission, pieces: readonly Segment[]): void {
  transmission.segments = pieces;
  const [first, last] = [pieces[0], pieces.at(-1)];
  if (first === undefined || last === undefined) return;
  transmission.startMs = first.startMs;
  transmission.endMs = last.startMs + last.bytes.length * transmission.byteMs;
}

/**
 * A fault ends at `atMs`, earlier than it was to: the bytes of an item whose start bits come later are as without it,
 * and pass anew those faults that come after it. What comes earlier stays as it is.
 * @param layers what the faults have done to the item
 */
export function endByteFault(layers: readonly ByteLayer[], id: string, atMs: number, byteMs: number): void {
  const place = layers.findIndex(({ fault }) => fault.id === id);
  let before: readonly Segment[] | null = null;
  for (const layer of place < 0 ? [] : layers.slice(place)) {
    const isEnding = before === null;
    before ??= layer.before;
    const coming = partOf(before, atMs, Infinity, byteMs);
    layer.before = before;
    layer.after = [
      ...partOf(layer.after, -Infinity, atMs, byteMs),
      ...(isEnding ? coming : passed(coming, layer.fault, byteMs)),
    ];
    before = layer.after;
  }
}

/** Whether a fault has changed or lost any byte. */
export function hasTouched({ before, after }: ByteLayer): boolean {
  const [meant, left] = [bytesOf(before), bytesOf(after)];
  return meant.length !== left.length || meant.some((byte, place) => byte !== left[place]);
}

function bytesOf(pieces: readonly Segment[]): number[] {
  return pieces.flatMap(({ bytes }) => [...bytes]);
}

/** The place in a piece of the first byte whose start bit is not before a time. */
function placeAt({ startMs, bytes }: Segment, timeMs: number, byteMs: number): number {
  return Math.min(bytes.length, Math.max(0, Math.ceil((timeMs - startMs) / byteMs - TIME_EPSILON)));
}

/** Of pieces the bytes with start bits in a time: [fromMs, toMs). */
function partOf(pieces: readonly Segment[], fromMs: number, toMs: number, byteMs: number): Segment[] {
  return pieces.flatMap((piece) => {
    const [from, to] = [placeAt(piece, fromMs, byteMs), placeAt(piece, toMs, byteMs)];
    return from < to ? [{ startMs: piece.startMs + from * byteMs, bytes: piece.bytes.subarray(from, to) }] : [];
  });
}

/** What a fault makes of pieces; the same pieces where it touches none. */
function passed(pieces: readonly Segment[], { beginMs, endMs, effect }: ByteFault, byteMs: number): readonly Segment[] {
  let touched = false;
  const left: Segment[] = [];
  for (const piece of pieces) {
    const { startMs, bytes } = piece;
    const from = placeAt(piece, beginMs, byteMs);
    const to = placeAt(piece, endMs, byteMs);
    if (from >= to || effect.pass === undefined) {
      left.push(piece);
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
  return touched ? left : pieces;
}

/** The pieces of a segment that are left without some of its bytes, each at its time. */
function pushWithout(lost: readonly number[], { startMs, bytes }: Segment, byteMs: number, left: Segment[]): void {
  let from = 0;
  for (const place of [...lost, bytes.length]) {
    if (place > from) left.push({ startMs: startMs + from * byteMs, bytes: bytes.subarray(from, place) });
    from = place + 1;
  }
}
