/** Decimals of a figure by its size: three digits that count, and never more than to a hundredth. */
function decimalsOf(value: number): number {
  const size = Math.abs(value);
  if (Number.isInteger(value) || size >= 100) return 0;
  return size >= 10 ? 1 : 2;
}

const MOST_DECIMALS = 6;

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
