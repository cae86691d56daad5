import type { ReadBytes } from '../../src/truth/byte-window.js';
import { type Proof, prove } from '../../src/truth/prove.js';

/** Reads some bytes as a file would be read, at most so many at a time. */
export function readFrom(bytes: Uint8Array, most = Infinity): ReadBytes {
  let at = 0;
  return (into) => {
    const count = Math.min(into.length, bytes.length - at, most);
    into.set(bytes.subarray(at, at + count));
    at += count;
    return count;
  };
}

/** A journal's file. */
export function fileOf(lines: readonly string[]): Buffer {
  return Buffer.from(lines.map((line) => `${line}\n`).join(''), 'utf8');
}

/** Holds a stream against a journal's lines. @param most bytes that come at a time from each */
export function proofOf(lines: readonly string[], stream: Uint8Array, isCaptured = false, most?: number): Proof {
  const options = { file: 'run.jsonl', isCaptured };
  return prove(readFrom(fileOf(lines), most), readFrom(stream, most), options);
}
