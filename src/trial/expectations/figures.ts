const MOST_DECIMALS = 6;
/** Below this three digits that count are more than hundredths. */
const SMALL = 0.05;

/** Decimals of a figure by its size: to a hundredth at most, or three digits that count of a small one. */
function decimalsOf(value: number): number {
  const size = Math.abs(value);
  if (Number.isInteger(value) || size >= 100) return 0;
  if (size >= 10) return 1;
  return size >= SMALL ? 2 : Math.min(MOST_DECIMALS, 2 - Math.floor(Math.log10(size)));
}

/**
 * A figure with its unit: `4.25 m`.
 * @param limit what it is held against: so many decimals are written that both do not look alike where they differ
 */
export function figure(value: number, unit: string, limit: number | null = null): string {
  let decimals = decimalsOf(value);
  const text = () => Number(value.toFixed(decimals));
  while (limit !== null && value !== limit && text() === limit && decimals < MOST_DECIMALS) decimals++;
  return `${text()} ${unit}`;
}

/** A time of the case, ms, in seconds: `12.3 s`. */
export function seconds(valueMs: number): string {
  return figure(Math.round(valueMs) / 1000, 's');
}
