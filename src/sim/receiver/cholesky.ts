/**
 * Factors a symmetric positive definite matrix (row by row, n x n, n <= 8) into L L', in place in the lower triangle.
 * False where it is singular to working precision.
 */
export function factor(a: Float64Array, n: number): boolean {
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      let sum = a[i * n + j] as number;
      for (let k = 0; k < j; k++) sum -= (a[i * n + k] as number) * (a[j * n + k] as number);
      if (i === j) {
        if (!(sum > 1e-9 * (a[j * n + j] as number))) return false;
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

/** Diagonal of the inverse of L L': the columns of the inverse of L, squared and summed. */
export function inverseDiagonal(l: Float64Array, n: number, out: Float64Array): void {
  for (let column = 0; column < n; column++) {
    let sum = 0;
    for (let i = column; i < n; i++) {
      let value = i === column ? 1 : 0;
      for (let k = column; k < i; k++) value -= (l[i * n + k] as number) * (SCRATCH[k] as number);
      const scaled = value / (l[i * n + i] as number);
      SCRATCH[i] = scaled;
      sum += scaled * scaled;
    }
    out[column] = sum;
  }
}

const SCRATCH = new Float64Array(8);
