import fc from 'fast-check';
import { type Ecef, ecefFromGeodetic, type Geodetic, LocalFrame } from '../../../src/base/frames.js';
import { RandomStreams } from '../../../src/base/random.js';
import type { Measurement } from '../../../src/sim/receiver/measurement.js';
import { referenceSatellites } from '../../../src/sim/sky/constellations/index.js';
import type { Satellite } from '../../../src/sim/sky/orbit.js';
import { SYSTEM_NAMES, type SystemName } from '../../../src/sim/sky/system.js';
import { inverse, normalOf } from '../../authorities/dop.js';

const DEG = Math.PI / 180;
/** Geometry worse than this is not reported, and has fewer digits. */
const WORST_PDOP = 30;

/** What a sky is seen by: no motion, no drift and no clock offsets unless told. */
export interface SkyWish {
  readonly at: Geodetic;
  /** Since the start of week 2400, s. */
  readonly tS: number;
  /** The clock columns, in this order. */
  readonly systems: readonly SystemName[];
  readonly maskDeg: number;
  /** By system as listed there, m. */
  readonly clocksM?: readonly number[];
  readonly eastMps?: number;
  readonly northMps?: number;
  readonly upMps?: number;
  readonly driftMps?: number;
}

let satellites: readonly Satellite[] | null = null;

/**
 * Exact measurements of the reference satellites above the mask, each weighted by its elevation, straight from the
 * definitions: range = distance + clock, rate = the difference of velocities along the line of sight + drift.
 */
export function skyAt(wish: SkyWish): Measurement[] {
  satellites ??= referenceSatellites(SYSTEM_NAMES, { week: 2400, towS: 0 });
  const { at, tS, systems, maskDeg, clocksM = [], driftMps = 0 } = wish;
  const { eastMps: eastM = 0, northMps: northM = 0, upMps: upM = 0 } = wish;
  const frame = new LocalFrame(at.latitudeDeg, at.longitudeDeg);
  const place = ecefFromGeodetic(at);
  const own = frame.toEcef({ eastM, northM, upM });
  const sky: Measurement[] = [];
  for (const satellite of satellites) {
    const column = systems.indexOf(satellite.system);
    if (column < 0) continue;
    const state = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
    satellite.orbit.stateAt(tS, state);
    const [dx, dy, dz] = [state.xM - place.xM, state.yM - place.yM, state.zM - place.zM];
    const distanceM = Math.sqrt(dx * dx + dy * dy + dz * dz);
    const sinElevation = frame.toEnu(dx, dy, dz).upM / distanceM;
    if (sinElevation < Math.sin(maskDeg * DEG)) continue;
    const approach = dx * (state.vxMps - own.xM) + dy * (state.vyMps - own.yM) + dz * (state.vzMps - own.zM);
    sky.push({
      state,
      column,
      pseudorangeM: distanceM + (clocksM[column] ?? 0),
      rangeRateMps: approach / distanceM + driftMps,
      sigmaM: 0.6 + 0.8 / Math.max(sinElevation, 0.1),
      rangeRateSigmaMps: 0.05,
    });
  }
  return sky;
}

/**
 * The same with clock columns counted anew, without systems of which it has a single satellite: it would tell its own
 * clock alone.
 */
export function dense(sky: readonly Measurement[]): { all: Measurement[]; columns: number } {
  const counts = new Map<number, number>();
  for (const { column } of sky) counts.set(column, (counts.get(column) ?? 0) + 1);
  const kept = [...counts.keys()].filter((column) => counts.get(column)! > 1).sort((a, b) => a - b);
  const all = sky
    .filter(({ column }) => kept.includes(column))
    .map((measurement) => ({ ...measurement, column: kept.indexOf(measurement.column) }));
  return { all, columns: kept.length };
}

/** Rows (east, north, up, 1 in the clock's column) of the range equations at a place. @param isFlat without up */
export function rowsOf(
  all: readonly Measurement[],
  { latitudeDeg, longitudeDeg, heightM }: Geodetic,
  columns: number,
  isFlat = false,
): number[][] {
  const frame = new LocalFrame(latitudeDeg, longitudeDeg);
  const place = ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM });
  return all.map(({ state, column }) => {
    const { eastM, northM, upM } = frame.toEnu(state.xM - place.xM, state.yM - place.yM, state.zM - place.zM);
    const distanceM = Math.hypot(eastM, northM, upM);
    const slopes = isFlat ? [eastM, northM] : [eastM, northM, upM];
    const clocks = Array.from({ length: columns }, (_, c) => (c === column ? 1 : 0));
    return [...slopes.map((slope) => -slope / distanceM), ...clocks];
  });
}

/** a Q b', for rows a and b. */
export function between(a: readonly number[], q: readonly (readonly number[])[], b: readonly number[]): number {
  let sum = 0;
  for (const [i, row] of q.entries()) for (const [j, value] of row.entries()) sum += a[i]! * value * b[j]!;
  return sum;
}

export interface Case {
  readonly at: Geodetic;
  readonly all: Measurement[];
  readonly columns: number;
  readonly clocksM: readonly number[];
}

export const cases: fc.Arbitrary<Case> = fc
  .record({
    latitudeDeg: evenly(-90, 90),
    longitudeDeg: evenly(-180, 180),
    heightM: evenly(-100, 9000),
    tS: evenly(0, 604_800),
    systems: fc.shuffledSubarray([...SYSTEM_NAMES], { minLength: 1 }),
    maskDeg: fc.constantFrom(-5, 0, 10, 20),
    clocks: fc.array(evenly(10, 1000), { minLength: 7, maxLength: 7 }),
    signs: fc.array(fc.constantFrom(-1, 1), { minLength: 7, maxLength: 7 }),
    count: fc.integer({ min: 4, max: 60 }),
    seed: fc.integer({ min: 0, max: 1e6 }),
  })
  .map(({ latitudeDeg, longitudeDeg, heightM, tS, systems, maskDeg, clocks, signs, count, seed }) => {
    const at = { latitudeDeg, longitudeDeg, heightM };
    const offsets = systems.map((_, i) => clocks[i]! * signs[i]!);
    const sky = skyAt({ at, tS, systems, maskDeg, clocksM: offsets, ...MOTION });
    const { all, columns } = dense(shuffled(sky, seed).slice(0, count));
    const clocksM: number[] = [];
    for (const { pseudorangeM, state, column } of all) {
      const { xM, yM, zM } = ecefFromGeodetic(at);
      clocksM[column] = pseudorangeM - Math.hypot(state.xM - xM, state.yM - yM, state.zM - zM);
    }
    return { at, all, columns, clocksM };
  });

export const MOTION = { eastMps: 31, northMps: -12, upMps: 2.5, driftMps: 47 };

/** Numbers spread evenly: the usual doubles crowd about zero. */
export function evenly(min: number, max: number): fc.Arbitrary<number> {
  return fc.integer({ min: 0, max: 1_000_000 }).map((step) => min + ((max - min) * step) / 1_000_000);
}

export function shuffled<T>(list: readonly T[], seed: number): T[] {
  const stream = new RandomStreams(seed).stream('order');
  const keyed = list.map((item) => ({ item, key: stream.uniform() }));
  return keyed.sort((a, b) => a.key - b.key).map(({ item }) => item);
}

/** Covariance by the full normal matrix, clocks and all. */
export function covarianceOf({ all, at, columns }: Case, isWeighted: boolean, isFlat = false): number[][] {
  const weights = all.map(({ sigmaM }) => (isWeighted ? 1 / (sigmaM * sigmaM) : 1));
  return inverse(normalOf(rowsOf(all, at, columns, isFlat), weights));
}

/** Whether the geometry gives a place that is worth having. */
export function isGood(one: Case): boolean {
  // Satellites above the equator fit a place and its mirror image in the other hemisphere alike: some others must tell.
  if (one.all.filter(({ state }) => Math.abs(state.zM) > 1).length < 3) return false;
  if (one.columns === 0 || one.all.length < one.columns + 3) return false;
  const q = covarianceOf(one, false);
  return q.every((row, i) => row[i]! > 0) && Math.sqrt(q[0]![0]! + q[1]![1]! + q[2]![2]!) < WORST_PDOP;
}

export function near(at: Geodetic): Ecef {
  const { xM, yM, zM } = ecefFromGeodetic(at);
  return { xM: xM + 40, yM: yM - 50, zM: zM + 30 };
}

/** Errors of one standard deviation, drawn anew. */
export function noisy(all: readonly Measurement[], seed: number): Measurement[] {
  const stream = new RandomStreams(seed).stream('noise');
  return all.map((one) => ({ ...one, pseudorangeM: one.pseudorangeM + one.sigmaM * stream.normal() }));
}

export const PLACE = { latitudeDeg: 47.2, longitudeDeg: 8.6, heightM: 430 };

export function case47(systems: readonly SystemName[], tS: number, maskDeg = 5): Case {
  const clocksM = systems.map((_, i) => 100 * i - 250);
  const { all, columns } = dense(skyAt({ at: PLACE, tS, systems, maskDeg, clocksM, ...MOTION }));
  return { at: PLACE, all, columns, clocksM };
}
