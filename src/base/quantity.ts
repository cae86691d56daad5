import { KNOT_MPS } from './constants.js';
import { LodestubError } from './error.js';

/** What a quantity measures. The number that {@link parseQuantity} returns is in the SI unit named here. */
export type Dimension = 'duration' | 'length' | 'speed' | 'acceleration' | 'angle' | 'yaw-rate' | 'frequency' | 'level';

interface Definition {
  readonly si: string;
  readonly example: string;
  readonly units: Readonly<Record<string, number>>;
}

const DIMENSIONS: Readonly<Record<Dimension, Definition>> = {
  duration: {
    si: 's',
    example: '90 s, 20 min or 1.5 h',
    units: { ms: 0.001, s: 1, sec: 1, min: 60, h: 3600, d: 86400, day: 86400, days: 86400 },
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
  level: { si: 'dB', example: '20 dB', units: { dB: 1 } },
};

const PATTERN = /^([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(\S+)?$/;

/**
 * Reads a number with its unit, such as `9 kn`, and returns it in the dimension's SI unit.
 * @throws LodestubError `quantity.format` or `quantity.unit`
 */
export function parseQuantity(text: string, dimension: Dimension): number {
  const { units, example } = DIMENSIONS[dimension];
  const match = PATTERN.exec(text.trim());
  const factor = match?.[2] === undefined ? undefined : Object.hasOwn(units, match[2]) ? units[match[2]] : undefined;
  if (!match) {
    throw new LodestubError({
      code: 'quantity.format',
      expected: `a ${dimension} such as ${example}`,
      received: JSON.stringify(text),
    });
  }
  if (factor === undefined) {
    throw new LodestubError({
      code: 'quantity.unit',
      expected: `a ${dimension} with a unit (${Object.keys(units).join(', ')}), such as ${example}`,
      received: JSON.stringify(text),
    });
  }
  return Number(match[1]) * factor;
}

/** What to say that was expected: `a duration such as 90 s, …`. */
export function describeDimension(dimension: Dimension): string {
  return `a ${dimension} with its unit, such as ${DIMENSIONS[dimension].example}`;
}
