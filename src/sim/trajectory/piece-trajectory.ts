import type { Surroundings } from '../surroundings.js';
import { type Piece, restingAt } from './piece.js';
import type { Motion, Stretch, Trajectory } from './trajectory.js';

/** Pieces one after another. */
export class PieceTrajectory implements Trajectory {
  readonly durationS: number;
  readonly #pieces: readonly Piece[];
  /** When each piece starts, s, and at the end the whole duration. */
  readonly #startS: Float64Array;
  readonly #end: Motion;
  readonly stretches: readonly Stretch[];
  /** The piece that the last call met: only a guess where to look first. */
  #index = 0;

  /** @param pieces at least one */
  constructor(pieces: readonly Piece[]) {
    this.#pieces = pieces;
    this.#startS = new Float64Array(pieces.length + 1);
    pieces.forEach((piece, i) => {
      this.#startS[i + 1] = this.#startS[i]! + piece.durationS;
    });
    this.durationS = this.#startS[pieces.length]!;
    this.stretches = stretchesOf(pieces, this.#startS);
    const last = pieces.at(-1)!;
    const motion = last.motion(last.durationS);
    this.#end = restingAt(motion, motion.courseDeg);
  }

  at(tS: number): Motion {
    if (tS >= this.durationS) return this.#end;
    const atS = Math.max(0, tS);
    const index = this.#find(atS);
    this.#index = index;
    const piece = this.#pieces[index]!;
    return piece.motion(Math.min(atS - this.#startS[index]!, piece.durationS));
  }

  surroundingsAt(tS: number): Surroundings | null {
    if (this.stretches.length === 0) return null;
    return this.#pieces[this.#find(Math.max(0, tS))]?.surroundings ?? null;
  }

  /** The last piece that starts at or before `tS`. */
  #find(tS: number): number {
    const starts = this.#startS;
    let low = 0;
    let high = this.#pieces.length - 1;
    for (let guess = this.#index; guess <= Math.min(high, this.#index + 2); guess++) {
      if (starts[guess]! <= tS && tS < starts[guess + 1]!) return guess;
    }
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (starts[middle]! <= tS) low = middle;
      else high = middle - 1;
    }
    return low;
  }
}

/** Pieces one after another in the same surroundings are one stretch. */
function stretchesOf(pieces: readonly Piece[], startS: Float64Array): Stretch[] {
  const stretches: Stretch[] = [];
  for (const [i, { surroundings }] of pieces.entries()) {
    if (surroundings === undefined) continue;
    const fromS = startS[i]!;
    const toS = i === pieces.length - 1 ? Infinity : startS[i + 1]!;
    const last = stretches.at(-1);
    if (last?.toS === fromS && last.surroundings === surroundings) stretches[stretches.length - 1] = { ...last, toS };
    else stretches.push({ fromS, toS, surroundings });
  }
  return stretches;
}
