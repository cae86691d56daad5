/** A pivot that elimination leaves smaller than this share of where it began is nothing but rounding. */
const SMALLEST_PIVOT = 1e-9;

/**
 * Factors a symmetric positive definite matrix (row by row, n x n, n <= 8) into L L', in place in the lower triangle.
 * @param before the diagonal before any elimination that came first: what pivots are measured against; default: its own
 * @returns false where the matrix is singular to working precision
 */
export function factor(a: Float64Array, n: number, before?: Float64Array): boolean {
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      let sum = a[i * n + j] as number;
      for (let k = 0; k < j; k++) sum -= (a[i * n + k] as number) * (a[j * n + k] as number);
      if (i === j) {
        const began = (before === undefined ? a[j * n + j] : before[j]) as number;
        if (!(sum > SMALLEST_PIVOT * began && sum < Infinity)) return false;
        a[j * n + j] = Math.sqrt(sum);
      } else {
        a[i * n + j] = sum / (a[j * n + j] as number);
      }
    }
  }
  return true;
}

/** Solves L L' x = b in place, with the factor from {@link factor}. */
export function substitute(l: Float64Array, b: Float64Array, n: number): void {
  for (let i = 0; i < n; i++) {
    let sum = b[i] as number;
    for (let k = 0; k < i; k++) sum -= (l[i * n + k] as number) * (b[k] as number);
    b[i] = sum / (l[i * n + i] as number);
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[i] as number;
    for (let k = i + 1; k < n; k++) sum -= (l[k * n + i] as number) * (b[k] as number);
    b[i] = sum / (l[i * n + i] as number);
  }
}

/** The inverse of L L' (row by row, both triangles): M' M, with M the inverse of L. */
export function invert(l: Float64Array, n: number, out: Float64Array): void {
  const m = SCRATCH;
  for (let column = 0; column < n; column++) {
    for (let i = column; i < n; i++) {
      let value = i === column ? 1 : 0;
      for (let k = column; k < i; k++) value -= (l[i * n + k] as number) * (m[k * n + column] as number);
      m[i * n + column] = value / (l[i * n + i] as number);
    }
  }
  for (let row = 0; row < n; row++) {
    for (let column = 0; column <= row; column++) {
      let sum = 0;
      for (let k = row; k < n; k++) sum += (m[k * n + row] as number) * (m[k * n + column] as number);
      out[row * n + column] = sum;
      out[column * n + row] = sum;
    }
  }
}

const SCRATCH = new Float64Array(64);
