import { BITS_PER_BYTE } from '../../base/constants.js';

/** Ten bit times at a speed, ms: what a byte takes on the line. @param baud bits a second */
export function byteMsAt(baud: number): number {
  return (1000 * BITS_PER_BYTE) / baud;
}

/** Bytes that follow each other on the line without a gap. */
export interface Segment {
  /** First start bit, ms since the start. */
  readonly startMs: number;
  readonly bytes: Uint8Array;
}

/**
 * Something that goes over the line: made when the module hands it over, timed when it is sent. It may still be cut
 * short (the module loses power) until its last stop bit. Times are ms since the start, NaN before it is sent.
 */
export interface Transmission {
  readonly kind: 'sentence' | 'bytes';
  /** The epoch it belongs to. */
  readonly epoch: number;
  /** The sentence as the module meant it, without CR LF; empty for bytes that belong to none. */
  readonly text: string;
  /** Why bytes that belong to no sentence are there. */
  readonly cause: string;
  startMs: number;
  /** Last stop bit. */
  endMs: number;
  /** Ten bit times at the speed that it goes out at, ms; NaN before. */
  byteMs: number;
  /** When the line is free again, ms: until then bytes of it may be cut off, or come back; NaN before it is sent. */
  freeMs: number;
  /** Faults that had a hand in it. */
  faults: readonly string[];
  /** What is sent, where it is not the text with CR LF in one piece: empty where nothing is. */
  segments: readonly Segment[] | null;
  /** A false place that a damaged sentence was given; null: none. */
  readonly tellTale: TellTale | null;
  /** Whether who shows that place has used what it should have refused; null: what goes out has not told yet. */
  isProof: boolean | null;
}

/** A place that the antenna never comes near: a host that shows it has used what it should have refused. */
export interface TellTale {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
}

/**
 * A sentence that the module hands to its UART.
 * @param altered what is sent in place of text and CR LF, a character a byte; null: just that
 */
export function newSentence(
  epoch: number,
  text: string,
  altered: string | null,
  faults: readonly string[],
  tellTale: TellTale | null = null,
): Transmission {
  return {
    kind: 'sentence',
    epoch,
    text,
    cause: '',
    startMs: Number.NaN,
    endMs: Number.NaN,
    byteMs: Number.NaN,
    freeMs: Number.NaN,
    faults,
    segments: altered === null ? null : [{ startMs: Number.NaN, bytes: bytesFromLatin1(altered) }],
    tellTale,
    isProof: tellTale === null ? false : null,
  };
}

/** Bytes that belong to no sentence; `cause` says why they are there. */
export function newBytes(epoch: number, bytes: Uint8Array, cause: string, faults: readonly string[]): Transmission {
  return {
    kind: 'bytes',
    epoch,
    text: '',
    cause,
    startMs: Number.NaN,
    endMs: Number.NaN,
    byteMs: Number.NaN,
    freeMs: Number.NaN,
    faults,
    segments: [{ startMs: Number.NaN, bytes }],
    tellTale: null,
    isProof: false,
  };
}

/** A sentence or a part of one that never went out. */
export interface Dropped {
  readonly epoch: number;
  readonly atMs: number;
  readonly text: string;
  /** Bytes of it that were lost; 0: none after all. */
  bytes: number;
  readonly reason: 'transmit-buffer' | 'power' | 'fault';
  faults: readonly string[];
  /** Until then a fault that is cleared may give bytes back, ms; left out: nothing does. */
  readonly finalMs?: number;
}

/** When nothing about a transmission changes any more, ms; Infinity: that depends on what goes out after it. */
export function finalMsOf({ endMs, freeMs, isProof }: Transmission): number {
  if (isProof === null) return Infinity;
  return freeMs > endMs ? freeMs : endMs;
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

/** Bytes that a transmission puts on the line. */
export function countBytes({ text, segments }: Transmission): number {
  if (segments === null) return text.length + 2;
  let count = 0;
  for (const { bytes } of segments) count += bytes.length;
  return count;
}
