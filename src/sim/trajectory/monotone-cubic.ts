/** What the slope at an end of the data is: 0, or what the data suggest. */
export interface EndSlopes {
  readonly start: 'zero' | 'free';
  readonly end: 'zero' | 'free';
}

/**
 * Slopes for a cubic interpolation with a continuous first derivative that never overshoots: between two equal values
 * it is constant. Source: M. Steffen, "A simple method for monotonic interpolation in one dimension", Astronomy and
 * Astrophysics 239 (1990); the formulas from memory.
 * @param x strictly ascending, at least two
 */
export function steffenSlopes(x: ArrayLike<number>, y: ArrayLike<number>, ends: EndSlopes): Float64Array {
  const last = x.length - 1;
  const slopes = new Float64Array(last + 1);
  const width = (i: number): number => x[i + 1]! - x[i]!;
  const secant = (i: number): number => (y[i + 1]! - y[i]!) / width(i);
  for (let i = 1; i < last; i++) {
    const [before, after] = [secant(i - 1), secant(i)];
    const [widthBefore, widthAfter] = [width(i - 1), width(i)];
    const parabola = (before * widthAfter + after * widthBefore) / (widthBefore + widthAfter);
    slopes[i] =
      (Math.sign(before) + Math.sign(after)) * Math.min(Math.abs(before), Math.abs(after), 0.5 * Math.abs(parabola));
  }
  if (ends.start === 'free') slopes[0] = endSlope(secant, width, 0, Math.min(1, last - 1));
  if (ends.end === 'free') slopes[last] = endSlope(secant, width, last - 1, Math.max(0, last - 2));
  return slopes;
}

function endSlope(secant: (i: number) => number, width: (i: number) => number, end: number, inner: number): number {
  const steep = secant(end);
  const share = width(end) / (width(end) + width(inner));
  const parabola = steep * (1 + share) - secant(inner) * share;
  if (parabola * steep <= 0) return 0;
  return Math.abs(parabola) > 2 * Math.abs(steep) ? 2 * steep : parabola;
}

/** One interval's cubic: value `c0 + t (c1 + t (c2 + t c3))`, t from the interval's start. */
export interface Cubic {
  readonly c0: number;
  readonly c1: number;
  readonly c2: number;
  readonly c3: number;
}

/** The cubic that has the values and slopes given at both ends of an interval (Hermite's form). */
export function hermiteCubic(width: number, y0: number, y1: number, slope0: number, slope1: number): Cubic {
  const secant = (y1 - y0) / width;
  return {
    c0: y0,
    c1: slope0,
    c2: (3 * secant - 2 * slope0 - slope1) / width,
    c3: (slope0 + slope1 - 2 * secant) / (width * width),
  };
}

/** Value of a cubic. */
export function cubicAt({ c0, c1, c2, c3 }: Cubic, t: number): number {
  return c0 + t * (c1 + t * (c2 + t * c3));
}

/** First derivative of a cubic. */
export function cubicSlopeAt({ c1, c2, c3 }: Cubic, t: number): number {
  return c1 + t * (2 * c2 + 3 * t * c3);
}
