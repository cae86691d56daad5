import { line } from 'd3-shape';

/** A point of a drawing, in its units; null parts a line. */
export type Dot = { readonly x: number; readonly y: number } | null;

const toPath = line<Dot>()
  .defined((dot) => dot !== null)
  .x((dot) => (dot as NonNullable<Dot>).x)
  .y((dot) => (dot as NonNullable<Dot>).y)
  .digits(1);

/** A path through the points, broken at null; a single point between two breaks shows as a dot with round ends. */
export function pathThrough(dots: readonly Dot[]): string {
  return toPath(dots) ?? '';
}

/**
 * Points that show the same line: of each column first, lowest, highest and last. So no peak is lost, however many
 * points there were.
 * @param columnPx width of a column
 */
export function thinByColumn(dots: readonly Dot[], columnPx: number): Dot[] {
  const kept: Dot[] = [];
  let column: NonNullable<Dot>[] = [];
  const flush = () => {
    if (column.length <= 4) kept.push(...column);
    else {
      let low = 0;
      let high = 0;
      for (const [i, { y }] of column.entries()) {
        if (y < (column[low] as NonNullable<Dot>).y) low = i;
        if (y > (column[high] as NonNullable<Dot>).y) high = i;
      }
      const places = [...new Set([0, low, high, column.length - 1])].sort((a, b) => a - b);
      for (const place of places) kept.push(column[place] as Dot);
    }
    column = [];
  };
  let current = Number.NaN;
  for (const dot of dots) {
    const place = dot === null ? Number.NaN : Math.floor(dot.x / columnPx);
    if (place !== current) flush();
    if (dot === null) {
      if (kept.length > 0 && kept.at(-1) !== null) kept.push(null);
    } else column.push(dot);
    current = place;
  }
  flush();
  return kept;
}

/** Points that show the same way: those that lie nearer than so much to the last that was kept are left out. */
export function thinByDistance(dots: readonly Dot[], leastPx: number): Dot[] {
  const kept: Dot[] = [];
  let last: Dot = null;
  for (const [i, dot] of dots.entries()) {
    if (dot === null) {
      if (kept.at(-1) !== null) kept.push(null);
      last = null;
      continue;
    }
    const isEnd = i === dots.length - 1 || dots[i + 1] === null;
    if (last !== null && !isEnd && Math.hypot(dot.x - last.x, dot.y - last.y) < leastPx) continue;
    kept.push(dot);
    last = dot;
  }
  return kept;
}

/** One of the points for each cell of so much: a cloud that looks the same with fewer points. */
export function thinByCell(dots: readonly NonNullable<Dot>[], cellPx: number): NonNullable<Dot>[] {
  const seen = new Map<string, NonNullable<Dot>>();
  for (const dot of dots) {
    const key = `${Math.round(dot.x / cellPx)} ${Math.round(dot.y / cellPx)}`;
    if (!seen.has(key)) seen.set(key, dot);
  }
  return [...seen.values()];
}
