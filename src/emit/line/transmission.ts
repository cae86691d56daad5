/** Bytes that follow each other on the line without a gap. */
export interface Segment {
  /** First start bit, ms since the start. */
  readonly startMs: number;
  readonly bytes: Uint8Array;
}

/**
 * Something that goes over the line. It may still be cut short (the module loses power) until its last stop bit.
 * Times are ms since the start.
 */
export interface Transmission {
  readonly kind: 'sentence' | 'bytes';
  /** The epoch it belongs to. */
  readonly epoch: number;
  /** The sentence as the module meant it, without CR LF; empty for bytes that belong to none. */
  readonly text: string;
  /** Why bytes that belong to no sentence are there. */
  readonly cause: string;
  readonly startMs: number;
  /** Last stop bit. */
  endMs: number;
  /** Faults that had a hand in it. */
  faults: readonly string[];
  /** What is sent, where it is not the text with CR LF in one piece: empty where nothing is. */
  segments: readonly Segment[] | null;
}

/** A sentence or a part of one that never went out. */
export interface Dropped {
  readonly epoch: number;
  readonly atMs: number;
  readonly text: string;
  /** Bytes of it that were lost. */
  readonly bytes: number;
  readonly reason: 'transmit-buffer' | 'power' | 'fault';
  readonly faults: readonly string[];
}

const ENCODER = new TextEncoder();

/** What a transmission puts on the line, in pieces without gaps. */
export function segmentsOf(transmission: Transmission): readonly Segment[] {
  if (transmission.segments !== null) return transmission.segments;
  return [{ startMs: transmission.startMs, bytes: ENCODER.encode(`${transmission.text}\r\n`) }];
}

/** Bytes from a string of characters 0 to 255. */
export function bytesFromLatin1(text: string): Uint8Array {
  return Uint8Array.from(text, (character) => character.charCodeAt(0));
}
