import type { Orbit, OrbitState } from './orbit.js';

/**
 * Length of a segment, s. Hermite's error is h^4/384 of the fourth derivative: at most 0.05 mm for the fastest orbits
 * here (GLONASS, 5e-8 m/s4), and its derivative's below 0.01 mm/s.
 */
export const SEGMENT_S = 30;

/** When the segment begins that a time lies in, s after the start: records change there. */
export function segmentStartS(sinceStartS: number): number {
  return Math.floor(sinceStartS / SEGMENT_S) * SEGMENT_S;
}

/**
 * An orbit made cheap: cubic in each segment, with position and velocity of the source at both ends. A segment follows
 * one source throughout, so that a handover happens at its beginning; what is returned does not depend on earlier
 * calls.
 */
export class InterpolatedOrbit implements Orbit {
  readonly #source: (sinceStartS: number) => Orbit;
  #segment = Number.NaN;
  readonly #x = { a: 0, b: 0, c: 0, d: 0 };
  readonly #y = { a: 0, b: 0, c: 0, d: 0 };
  readonly #z = { a: 0, b: 0, c: 0, d: 0 };
  readonly #from: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
  readonly #to: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };

  /** @param source the orbit in force at the middle of a segment */
  constructor(source: (sinceStartS: number) => Orbit) {
    this.#source = source;
  }

  stateAt(sinceStartS: number, out: OrbitState): void {
    const segment = Math.floor(sinceStartS / SEGMENT_S);
    if (segment !== this.#segment) this.#enter(segment);
    const s = sinceStartS - segment * SEGMENT_S;
    const x = this.#x;
    const y = this.#y;
    const z = this.#z;
    out.xM = x.a + s * (x.b + s * (x.c + s * x.d));
    out.yM = y.a + s * (y.b + s * (y.c + s * y.d));
    out.zM = z.a + s * (z.b + s * (z.c + s * z.d));
    out.vxMps = x.b + s * (2 * x.c + 3 * s * x.d);
    out.vyMps = y.b + s * (2 * y.c + 3 * s * y.d);
    out.vzMps = z.b + s * (2 * z.c + 3 * s * z.d);
  }

  #enter(segment: number): void {
    const orbit = this.#source((segment + 0.5) * SEGMENT_S);
    const from = this.#from;
    const to = this.#to;
    orbit.stateAt(segment * SEGMENT_S, from);
    orbit.stateAt((segment + 1) * SEGMENT_S, to);
    setCubic(this.#x, from.xM, from.vxMps, to.xM, to.vxMps);
    setCubic(this.#y, from.yM, from.vyMps, to.yM, to.vyMps);
    setCubic(this.#z, from.zM, from.vzMps, to.zM, to.vzMps);
    this.#segment = segment;
  }
}

/** Coefficients, by powers of the time since the segment's beginning. */
interface Cubic {
  a: number;
  b: number;
  c: number;
  d: number;
}

function setCubic(out: Cubic, from: number, fromRate: number, to: number, toRate: number): void {
  const slope = (to - from) / SEGMENT_S;
  out.a = from;
  out.b = fromRate;
  out.c = (3 * slope - 2 * fromRate - toRate) / SEGMENT_S;
  out.d = (fromRate + toRate - 2 * slope) / SEGMENT_S ** 2;
}
