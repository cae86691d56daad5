import { KNOT_MPS } from './constants.js';
import { LodestubError } from './error.js';

/** What a quantity measures. The number that {@link parseQuantity} returns is in the SI unit named here. */
export type Dimension =
  | 'duration'
  | 'length'
  | 'speed'
  | 'acceleration'
  | 'angle'
  | 'yaw-rate'
  | 'frequency'
  | 'rate'
  | 'level';

interface Definition {
  readonly si: string;
  readonly example: string;
  readonly units: Readonly<Record<string, number>>;
}

const DIMENSIONS: Readonly<Record<Dimension, Definition>> = {
  duration: {
    si: 's',
    example: '90 s, 20 min or 1.5 h',
    units: { us: 1e-6, ms: 0.001, s: 1, sec: 1, min: 60, h: 3600, d: 86400, day: 86400, days: 86400 },
  },
  length: { si: 'm', example: '40 m or 2 km', units: { cm: 0.01, m: 1, km: 1000, NM: 1852, nmi: 1852, ft: 0.3048 } },
  speed: {
    si: 'm/s',
    example: '9 kn, 30 km/h or 4 m/s',
    units: { 'm/s': 1, 'km/h': 1 / 3.6, kn: KNOT_MPS, kt: KNOT_MPS, mph: 0.44704 },
  },
  acceleration: { si: 'm/s2', example: '0.5 m/s2', units: { 'm/s2': 1, 'm/s^2': 1, g: 9.80665 } },
  angle: { si: 'deg', example: '10 deg', units: { deg: 1, '°': 1 } },
  'yaw-rate': { si: 'deg/s', example: '10 deg/s', units: { 'deg/s': 1, '°/s': 1 } },
  frequency: { si: 'Hz', example: '1 Hz', units: { Hz: 1 } },
  rate: {
    si: '/s',
    example: '6 /h or 0.5 /min',
    units: { '/s': 1, '/min': 1 / 60, '/h': 1 / 3600, '/d': 1 / 86_400 },
  },
  level: { si: 'dB', example: '20 dB', units: { dB: 1 } },
};

const ARTICLES: Partial<Record<Dimension, string>> = { acceleration: 'an', angle: 'an' };

const PATTERN = /^([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(\S+)?$/;

/** A dimension in a sentence: `a yaw rate`, `an angle`. */
function named(dimension: Dimension): string {
  return `${ARTICLES[dimension] ?? 'a'} ${dimension.replace('-', ' ')}`;
}

/**
 * Reads a number with its unit, such as `9 kn`, and returns it in the dimension's SI unit. A bare zero needs no unit.
 * @throws LodestubError `quantity.format` or `quantity.unit`
 */
export function parseQuantity(text: string, dimension: Dimension): number {
  const { units, example } = DIMENSIONS[dimension];
  const match = PATTERN.exec(text.trim());
  const value = Number(match?.[1]);
  if (!match || !Number.isFinite(value)) {
    throw new LodestubError({
      code: 'quantity.format',
      expected: `${named(dimension)} such as ${example}`,
      received: JSON.stringify(text),
    });
  }
  if (match[2] === undefined && value === 0) return 0;
  const factor = match[2] !== undefined && Object.hasOwn(units, match[2]) ? units[match[2]] : undefined;
  if (factor === undefined) {
    throw new LodestubError({
      code: 'quantity.unit',
      expected: `${named(dimension)} with a unit (${Object.keys(units).join(', ')}), such as ${example}`,
      received: JSON.stringify(text),
    });
  }
  const valueSi = value * factor;
  if (Number.isFinite(valueSi)) return valueSi;
  throw new LodestubError({
    code: 'quantity.format',
    expected: `${named(dimension)} such as ${example}`,
    received: JSON.stringify(text),
  });
}

/** What to say that was expected: `a duration with its unit, such as 90 s, …`. */
export function describeDimension(dimension: Dimension): string {
  return `${named(dimension)} with its unit, such as ${DIMENSIONS[dimension].example}`;
}

/** One value that a person may type, for documentation and schemas: `90 s`. */
export function quantityExample(dimension: Dimension): string {
  return DIMENSIONS[dimension].example.split(/, | or /)[0] as string;
}

/** The units that {@link parseQuantity} knows for a dimension, the names as typed. */
export function unitsOf(dimension: Dimension): readonly string[] {
  return Object.keys(DIMENSIONS[dimension].units);
}

/** An SI value as a person would type it, to 6 digits: `90 s`, `20 min`, `0.5 m/s2`. */
export function formatQuantity(valueSi: number, dimension: Dimension): string {
  if (dimension === 'duration') return formatDuration(valueSi);
  return `${digits(valueSi)} ${DIMENSIONS[dimension].si}`;
}

/** A duration, s, in the largest unit that leaves a plain number: `2 us`, `80 ms`, `90 s`, `20 min`, `1.5 h`. */
function formatDuration(valueS: number): string {
  const sizeS = Math.abs(valueS);
  if (sizeS === 0) return '0 s';
  if (sizeS < 1e-3) return `${digits(valueS * 1e6)} us`;
  if (sizeS < 1) return `${digits(valueS * 1000)} ms`;
  if (sizeS >= 172_800 && Number.isInteger(valueS / 86_400)) return `${digits(valueS / 86_400)} d`;
  if (sizeS >= 3600 && Number.isInteger(valueS / 1800)) return `${digits(valueS / 3600)} h`;
  if (sizeS >= 120 && Number.isInteger(valueS / 60)) return `${digits(valueS / 60)} min`;
  return `${digits(valueS)} s`;
}

function digits(value: number): string {
  return String(Number(value.toPrecision(6)));
}
