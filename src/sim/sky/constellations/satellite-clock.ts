import { RandomStreams } from '../../../base/random.js';
import { type GpsTime, secondsBetween } from '../../../base/time.js';
import type { SystemName } from '../system.js';

/** Satellite clock and group delays of a satellite of the reference constellation. */
export interface ReferenceClock {
  /** Clock minus system time at the beginning of the start's week, s. */
  readonly biasS: number;
  readonly drift: number;
  /** As {@link KeplerRecord.groupDelaysS}. */
  readonly groupDelaysS: readonly [number, number];
}

/**
 * The same in every scenario, whatever its seed: a satellite keeps its clock. The values are our own, of the size that
 * broadcast messages show.
 */
const STREAMS = new RandomStreams(1980);
const LARGEST_BIAS_S = 3e-4;
const LARGEST_DRIFT = 1e-11;
/** RTCA DO-229D, table A-18: the message has room for 0.95 us only, so these clocks are steered. */
const LARGEST_SBAS_BIAS_S = 5e-7;

/** Step of the broadcast group delay and the largest here, s: IS-GPS-200N, table 20-I; the others' alike. */
const GROUP_DELAYS: Readonly<Record<SystemName, readonly [stepS: number, largestS: number]>> = {
  gps: [2 ** -31, 12e-9],
  glonass: [1, 0],
  galileo: [2 ** -32, 6e-9],
  beidou: [1e-10, 9e-9],
  qzss: [2 ** -31, 5e-9],
  navic: [2 ** -31, 4e-9],
  sbas: [1, 0],
};

/** Clock and group delays of a satellite, by its RINEX name. */
export function referenceClock(id: string, system: SystemName): ReferenceClock {
  const stream = STREAMS.stream(`clock/${id}`);
  const within = (largest: number) => (2 * stream.uniform() - 1) * largest;
  const [stepS, largestS] = GROUP_DELAYS[system];
  const biasS = within(system === 'sbas' ? LARGEST_SBAS_BIAS_S : LARGEST_BIAS_S);
  const drift = system === 'sbas' ? 0 : within(LARGEST_DRIFT);
  const first = Math.round(within(largestS) / stepS) * stepS;
  const other = Math.round(within(largestS) / stepS) * stepS;
  return { biasS, drift, groupDelaysS: [first, secondDelayS(system, first, other)] };
}

/** Galileo's two delays are alike, so that either clock, of E1 with E5a or with E5b, gives E1 the same time. */
function secondDelayS(system: SystemName, firstS: number, otherS: number): number {
  if (system === 'galileo') return firstS;
  return system === 'beidou' ? otherS : 0;
}

/** The clock's bias at a time, s: it runs evenly from the beginning of the start's week on. */
export function biasAtS({ biasS, drift }: ReferenceClock, start: GpsTime, time: GpsTime): number {
  return biasS + drift * secondsBetween(time, { week: start.week, towS: 0 });
}
