/** Terms of a series or continued fraction; some 60 are needed at 100 degrees. */
const MOST_TERMS = 1000;
const TINY = 1e-300;

/**
 * Probability that a chi-square variable is above `x`: the regularised upper incomplete gamma function at dof / 2 and
 * x / 2, by its series below the mean and its continued fraction (Lentz) above.
 * Source: W. H. Press et al., Numerical Recipes, 3rd edition, section 6.2.
 * @param dof degrees of freedom, 1 or more
 */
export function chiSquareTail(x: number, dof: number): number {
  if (!(x > 0)) return 1;
  const a = dof / 2;
  const z = x / 2;
  const scale = Math.exp(a * Math.log(z) - z - logGammaOfHalf(dof));
  if (z < a + 1) {
    let term = 1 / a;
    let sum = term;
    for (let k = 1; k < MOST_TERMS && term > sum * Number.EPSILON; k++) {
      term *= z / (a + k);
      sum += term;
    }
    return 1 - scale * sum;
  }
  let b = z + 1 - a;
  let c = 1 / TINY;
  let d = 1 / b;
  let fraction = d;
  for (let k = 1; k < MOST_TERMS; k++) {
    const numerator = -k * (k - a);
    b += 2;
    d = 1 / notZero(numerator * d + b);
    c = notZero(b + numerator / c);
    const change = c * d;
    fraction *= change;
    if (Math.abs(change - 1) < Number.EPSILON) break;
  }
  return scale * fraction;
}

/** The value that a chi-square variable exceeds with this probability, (0, 1): by bisection. */
export function chiSquareLimit(probability: number, dof: number): number {
  let low = 0;
  let high = dof + 10;
  while (chiSquareTail(high, dof) > probability) high *= 2;
  while (high - low > 1e-12 * high) {
    const middle = (low + high) / 2;
    if (chiSquareTail(middle, dof) > probability) low = middle;
    else high = middle;
  }
  return high;
}

/**
 * Probability that a non-central chi-square variable is below `x`, within some thousandths: its cube root is nearly
 * normal. Source: S. H. Abdel-Aty, Approximate formulae for the percentage points and the probability integral of the
 * non-central chi-square distribution, Biometrika 41 (1954); from memory.
 * @param dof degrees of freedom
 * @param noncentrality sum of the squared means, 0 or more
 */
export function noncentralBelow(x: number, dof: number, noncentrality: number): number {
  const mean = dof + noncentrality;
  const spread = (2 * (dof + 2 * noncentrality)) / (9 * mean * mean);
  return normalBelow((Math.cbrt(x / mean) - 1 + spread) / Math.sqrt(spread));
}

/** Probability that a standard normal variable is below `z`. */
export function normalBelow(z: number): number {
  const beyond = chiSquareTail(z * z, 1) / 2;
  return z > 0 ? 1 - beyond : beyond;
}

/** Logarithm of the gamma function at half a whole number of 1 or more: a product, each kept. */
function logGammaOfHalf(dof: number): number {
  for (let n = LOG_GAMMAS.length; n <= dof; n++) {
    LOG_GAMMAS.push((LOG_GAMMAS[n - 2] as number) + Math.log(n / 2 - 1));
  }
  return LOG_GAMMAS[dof] as number;
}

/** By twice the argument: of 1/2 the root of pi, of 1 one. */
const LOG_GAMMAS = [Number.NaN, Math.log(Math.PI) / 2, 0];

function notZero(value: number): number {
  return Math.abs(value) < TINY ? TINY : value;
}
