import { SECONDS_PER_WEEK } from '../../base/constants.js';
import { LodestubError } from '../../base/error.js';

/** One satellite's entry of a GPS almanac, in the units of a YUMA file. */
export interface AlmanacEntry {
  readonly prn: number;
  readonly health: number;
  readonly eccentricity: number;
  readonly toaS: number;
  readonly inclinationRad: number;
  readonly nodeRateRadps: number;
  readonly rootSemiMajor: number;
  readonly nodeRad: number;
  readonly perigeeRad: number;
  readonly meanAnomalyRad: number;
  readonly af0S: number;
  readonly af1: number;
  /** As in the file: usually modulo 1024. */
  readonly week: number;
}

/** Least and greatest plausible value; outside it the file is damaged. */
const RANGES: Readonly<Partial<Record<keyof AlmanacEntry, readonly [number, number]>>> = {
  prn: [1, 63],
  eccentricity: [0, 0.1],
  toaS: [0, SECONDS_PER_WEEK - 1],
  inclinationRad: [0, Math.PI],
  nodeRateRadps: [-1e-6, 1e-6],
  rootSemiMajor: [4000, 7000],
  nodeRad: [-7, 7],
  perigeeRad: [-7, 7],
  meanAnomalyRad: [-7, 7],
  af0S: [-1, 1],
  af1: [-1e-6, 1e-6],
  week: [0, 8191],
};

/** @throws LodestubError `almanac.range` */
export function checkRange(field: keyof AlmanacEntry, value: number, path: string): void {
  const range = RANGES[field];
  if (range === undefined || (value >= range[0] && value <= range[1])) return;
  throw new LodestubError({
    code: 'almanac.range',
    path,
    expected: `${range[0]} to ${range[1]}`,
    received: String(value),
  });
}

/** @throws LodestubError `almanac.twice` */
export function checkEntries(entries: readonly AlmanacEntry[], name: string): void {
  const seen = new Set<number>();
  for (const { prn } of entries) {
    if (seen.has(prn)) {
      throw new LodestubError({ code: 'almanac.twice', path: name, summary: `satellite ${prn} stands there twice` });
    }
    seen.add(prn);
  }
}
