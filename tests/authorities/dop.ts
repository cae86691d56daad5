/** Azimuth and elevation, deg. */
export type Direction = readonly [azimuthDeg: number, elevationDeg: number];

/** Dilutions of precision. */
export interface Dop {
  readonly pdop: number;
  readonly hdop: number;
  readonly vdop: number;
}

const DEG = Math.PI / 180;

/**
 * Dilutions from directions: Q = inverse(H'H) with rows (east, north, up, 1 in the clock's column), the inverse by
 * Gauss-Jordan elimination with pivoting. Source: P. Misra, P. Enge, Global Positioning System, chapter 6.
 * @param clocks the clock column of each direction, from 0; left out: one for all
 */
export function dopOf(directions: readonly Direction[], clocks?: readonly number[]): Dop {
  const columns = 1 + Math.max(0, ...(clocks ?? []));
  const rows = directions.map(([azimuthDeg, elevationDeg], i) => {
    const [azimuth, elevation] = [azimuthDeg * DEG, elevationDeg * DEG];
    const row = [
      Math.cos(elevation) * Math.sin(azimuth),
      Math.cos(elevation) * Math.cos(azimuth),
      Math.sin(elevation),
      ...new Array<number>(columns).fill(0),
    ];
    row[3 + (clocks?.[i] ?? 0)] = 1;
    return row;
  });
  const q = inverse(normalOf(rows));
  const [east, north, up] = [q[0]![0]!, q[1]![1]!, q[2]![2]!];
  return { pdop: Math.sqrt(east + north + up), hdop: Math.sqrt(east + north), vdop: Math.sqrt(up) };
}

/** H'WH of rows and their weights; left out: 1 each. */
export function normalOf(rows: readonly (readonly number[])[], weights?: readonly number[]): number[][] {
  const n = rows[0]!.length;
  const normal = Array.from({ length: n }, () => new Array<number>(n).fill(0));
  for (const [k, row] of rows.entries()) {
    const weight = weights?.[k] ?? 1;
    for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) normal[i]![j]! += weight * row[i]! * row[j]!;
  }
  return normal;
}

/** Inverse of a square matrix. */
export function inverse(matrix: readonly (readonly number[])[]): number[][] {
  const n = matrix.length;
  const work = matrix.map((row, i) => [...row, ...Array.from({ length: n }, (_, j) => (i === j ? 1 : 0))]);
  for (let column = 0; column < n; column++) {
    let best = column;
    for (let i = column + 1; i < n; i++) {
      if (Math.abs(work[i]![column]!) > Math.abs(work[best]![column]!)) best = i;
    }
    [work[column], work[best]] = [work[best]!, work[column]!];
    const pivot = work[column]!;
    const scale = pivot[column]!;
    for (let j = 0; j < 2 * n; j++) pivot[j]! /= scale;
    for (let i = 0; i < n; i++) {
      if (i === column) continue;
      const factor = work[i]![column]!;
      for (let j = 0; j < 2 * n; j++) work[i]![j]! -= factor * pivot[j]!;
    }
  }
  return work.map((row) => row.slice(n));
}
