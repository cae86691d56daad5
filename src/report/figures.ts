/** What stands where there is no figure. */
export const NOTHING = '–';
/** Narrow no-break space: parts thousands, and a figure from its unit. */
const NARROW = '\u202f';

/** Whether there is a figure to show. */
function isFigure(value: number | null | undefined): value is number {
  return value !== null && value !== undefined && Number.isFinite(value);
}

/**
 * A number with so many decimals and thousands parted; a dash for null and for what is not finite. Never `-0.0`.
 * @param digits decimals, 0 to 20
 */
export function decimal(value: number | null | undefined, digits: number): string {
  if (!isFigure(value)) return NOTHING;
  if (Math.abs(value) >= 1e15) return value.toExponential(2).replace('-', '−').replace('e+', '·10^');
  const [whole, fraction] = Math.abs(value).toFixed(digits).split('.') as [string, string | undefined];
  const parted = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, NARROW) : whole;
  const text = fraction === undefined ? parted : `${parted}.${fraction}`;
  return value < 0 && /[1-9]/.test(text) ? `−${text}` : text;
}

/** A number with its unit, both kept on one line: `4.2 m`. */
export function withUnit(value: number | null | undefined, digits: number, unit: string): string {
  return isFigure(value) ? `${decimal(value, digits)}${NARROW}${unit}` : NOTHING;
}

/** A whole number. */
export function count(value: number | null | undefined): string {
  return decimal(value, 0);
}

/** A share of 0 to 1 in per cent; what is not all or nothing never looks like it. */
export function share(value: number | null | undefined): string {
  if (!isFigure(value)) return NOTHING;
  if (value > 0 && value < 0.0005) return `<${NARROW}0.1${NARROW}%`;
  if (value < 1 && value > 0.9995) return `>${NARROW}99.9${NARROW}%`;
  return withUnit(value * 100, value === 0 || value === 1 ? 0 : 1, '%');
}

/** A length, m: with two decimals below 100 m, in km from 10 km on. */
export function metres(value: number | null | undefined): string {
  if (!isFigure(value)) return NOTHING;
  const size = Math.abs(value);
  if (size >= 99_950) return withUnit(value / 1000, 0, 'km');
  if (size >= 9995) return withUnit(value / 1000, 1, 'km');
  if (size >= 999.5) return withUnit(value, 0, 'm');
  return withUnit(value, size >= 99.95 ? 1 : 2, 'm');
}

/** A length of time, s: `0.35 s`, `12.4 s`, `3 min 20 s`, `2 h 05 min`. */
export function duration(seconds: number | null | undefined): string {
  if (!isFigure(seconds)) return NOTHING;
  const size = Math.abs(seconds);
  if (size < 9.995) return withUnit(seconds, 2, 's');
  if (size < 119.95) return withUnit(seconds, 1, 's');
  const sign = seconds < 0 ? '−' : '';
  const two = (value: number) => String(value).padStart(2, '0');
  if (size < 7199.5) {
    const whole = Math.round(size);
    return `${sign}${Math.floor(whole / 60)}${NARROW}min ${two(whole % 60)}${NARROW}s`;
  }
  const minutes = Math.round(size / 60);
  return `${sign}${count(Math.floor(minutes / 60))}${NARROW}h ${two(minutes % 60)}${NARROW}min`;
}

/** A tick's number: no more digits than the step needs. */
export function tick(value: number, step: number): string {
  const digits = step > 0 && step < 1 ? Math.min(9, Math.ceil(-Math.log10(step) - 1e-9)) : 0;
  return decimal(value, digits);
}
