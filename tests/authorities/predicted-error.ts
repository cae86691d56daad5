import { LocalFrame } from '../../src/base/frames.js';
import type { Epoch, RangeTerms } from '../../src/sim/epoch.js';
import { type SystemName, systemOf } from '../../src/sim/sky/system.js';
import { inverse } from './dop.js';

/**
 * Variance that RTKLIB gives a pseudorange in single point positioning with its models of the atmosphere off, m2:
 * F R (a2 + b2 / sin E) + of the broadcast record + 5 m of ionosphere + 3 m of troposphere + 0.3 m of the code.
 * Source: T. Takasu, RTKLIB ver. 2.4.2 manual, E.6 (from memory; that its solutions come out bears it out).
 */
function varianceM2(system: SystemName, elevationDeg: number): number {
  const factor = system === 'glonass' ? 1.5 : 1;
  const sinElevation = Math.sin((elevationDeg * Math.PI) / 180);
  const code = (factor * 100 * 0.003) ** 2 * (1 + 1 / sinElevation);
  return code + RECORD_SIGMA_M[system] ** 2 + 5 ** 2 + 3 ** 2 + 0.3 ** 2;
}

/** What it makes of the accuracies that the records tell (2 m: the first class, 2.4 m; GLONASS tells none), m. */
const RECORD_SIGMA_M: Readonly<Record<SystemName, number>> = {
  gps: 2.4,
  qzss: 2.4,
  beidou: 2.4,
  navic: 2.4,
  sbas: 2.4,
  galileo: 3.12,
  glonass: 5,
};

/** All that a receiver without corrections measures too long, m. */
function wholeErrorM(terms: RangeTerms): number {
  const { satelliteClockM, orbitM, ionosphereM, troposphereM, interSystemM, multipathM, noiseM } = terms;
  return satelliteClockM + orbitM + ionosphereM + troposphereM + interSystemM + multipathM + noiseM;
}

/**
 * What weighted least squares make of the journal's range errors: the error of the position in ECEF, m.
 * @param systems each with a clock of its own
 */
export function predictedErrorM(
  { truth, satellites }: Epoch,
  systems: readonly SystemName[],
  maskDeg: number,
): [number, number, number] {
  const local = new LocalFrame(truth.latitudeDeg, truth.longitudeDeg);
  const rows: number[][] = [];
  const right: number[] = [];
  const weights: number[] = [];
  for (const { id, azimuthDeg, elevationDeg, range } of satellites) {
    const system = systemOf(id);
    if (range === null || elevationDeg < maskDeg || !systems.includes(system)) continue;
    const [azimuth, elevation] = [(azimuthDeg * Math.PI) / 180, (elevationDeg * Math.PI) / 180];
    const { xM, yM, zM } = local.toEcef({
      eastM: Math.cos(elevation) * Math.sin(azimuth),
      northM: Math.cos(elevation) * Math.cos(azimuth),
      upM: Math.sin(elevation),
    });
    rows.push([-xM, -yM, -zM, ...systems.map((name) => (name === system ? 1 : 0))]);
    right.push(wholeErrorM(range));
    weights.push(1 / varianceM2(system, elevationDeg));
  }
  const size = 3 + systems.length;
  const sumOf = (term: (k: number) => number) => rows.reduce((sum, _, k) => sum + (weights[k] as number) * term(k), 0);
  const at = (k: number, i: number) => (rows[k] as number[])[i] as number;
  const indices = Array.from({ length: size }, (_, i) => i);
  const covariance = inverse(indices.map((i) => indices.map((j) => sumOf((k) => at(k, i) * at(k, j)))));
  const gradient = indices.map((i) => sumOf((k) => at(k, i) * (right[k] as number)));
  const [x, y, z] = covariance.map((row) => row.reduce((sum, value, i) => sum + value * (gradient[i] as number), 0));
  return [x as number, y as number, z as number];
}
