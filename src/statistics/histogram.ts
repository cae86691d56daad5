/** A class of a histogram: values in [from, to), the last one's `to` included. */
export interface Bin {
  readonly from: number;
  readonly to: number;
  readonly count: number;
}

/** Values sorted into classes of equal width. */
export interface Histogram {
  readonly bins: readonly Bin[];
  /** Values outside the classes. */
  readonly below: number;
  readonly above: number;
}

/**
 * Counts values in classes of equal width; none is lost, those outside are counted apart.
 * @param values each finite, and how often
 * @param range from < to, with one class or more
 * @throws RangeError for a range that is none
 */
export function histogram(
  values: Iterable<readonly [value: number, times: number]>,
  range: { readonly from: number; readonly to: number; readonly bins: number },
): Histogram {
  const { from, to, bins } = range;
  if (!(from < to && Number.isInteger(bins) && bins >= 1)) {
    throw new RangeError(`a histogram needs from < to and a whole number of classes, not ${from}, ${to}, ${bins}`);
  }
  const edgeOf = (index: number) => from + ((to - from) * index) / bins;
  const counts = new Array<number>(bins).fill(0);
  let below = 0;
  let above = 0;
  for (const [value, times] of values) {
    if (value < from) below += times;
    else if (value > to) above += times;
    else {
      let index = Math.min(bins - 1, Math.floor(((value - from) / (to - from)) * bins));
      // Rounding may put a value that lies on an edge on its wrong side.
      if (index > 0 && value < edgeOf(index)) index--;
      else if (index < bins - 1 && value >= edgeOf(index + 1)) index++;
      counts[index]! += times;
    }
  }
  return { bins: counts.map((count, index) => ({ from: edgeOf(index), to: edgeOf(index + 1), count })), below, above };
}
