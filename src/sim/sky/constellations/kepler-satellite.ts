import { RAD_PER_DEG } from '../../../base/constants.js';
import { addSeconds, type GpsTime, secondsBetween } from '../../../base/time.js';
import { GPS_MINUS_BDT_S } from '../../../base/time-scales.js';
import type { KeplerRecord } from '../broadcast-record.js';
import { InterpolatedOrbit } from '../interpolated-orbit.js';
import { KeplerOrbit } from '../kepler-orbit.js';
import { earthRotationOf, gmOf, NO_HARMONICS, ownTowS, reducedRad, rereferenced } from '../kepler-record.js';
import type { OrbitClass, Satellite } from '../orbit.js';
import { type SystemName, satelliteId } from '../system.js';
import { typicalTravelS } from '../travel-time.js';
import { turnedRad } from './mean-motion.js';
import type { ReferenceContext } from './reference-context.js';
import { biasAtS, type ReferenceClock, referenceClock } from './satellite-clock.js';
import { evenSchedule, type Schedule } from './schedule.js';
import { ScheduledBroadcast } from './scheduled-broadcast.js';

/** Mean elements of a satellite of a reference constellation, which are valid at any date. */
export interface ReferenceElements {
  readonly system: KeplerSystem;
  readonly number: number;
  readonly orbitClass: OrbitClass;
  /** What the two angles below are counted from; null where they hold at any time: a satellite that stands still. */
  readonly epoch: GpsTime | null;
  readonly semiMajorM: number;
  readonly eccentricity: number;
  readonly inclinationDeg: number;
  /** East longitude of the ascending node in the Earth-fixed frame at the epoch. */
  readonly nodeLongitudeDeg: number;
  /** Inertial. */
  readonly nodeRateRadps: number;
  readonly perigeeDeg: number;
  readonly meanAnomalyDeg: number;
  readonly meanMotionRadps: number;
}

export type KeplerSystem = Exclude<SystemName, 'glonass' | 'sbas'>;

/** How each system's records follow on each other, and what stands in them beside orbit and clock. */
interface RecordHabits {
  readonly schedule: Schedule;
  /** Issues of data run from 0 to this less one. */
  readonly issues: number;
  readonly dataSource: number;
  readonly fitHours: number;
  readonly accuracyM: number;
  /** Health bits of a satellite out of service. */
  readonly unhealthyBits: number;
}

const TWO_HOURS_S = 7200;

/**
 * Sources: IS-GPS-200N, 20.3.4.4 (a new data set every 2 h, fit interval 4 h centred on its reference time); RINEX
 * 3.04, appendix A, navigation message files (health bits; data sources: 517 is I/NAV on E1 and E5b).
 * Galileo sends a new one every 10 min at the shortest; every 30 min keeps navigation files small. Accuracies: of the
 * size that is broadcast.
 */
const HABITS: Readonly<Record<KeplerSystem, RecordHabits>> = {
  gps: habits(evenSchedule(TWO_HOURS_S, TWO_HOURS_S), 240, { fitHours: 4, unhealthyBits: 63 }),
  galileo: habits(evenSchedule(1800, 0), 1024, { dataSource: 517, accuracyM: 3.12, unhealthyBits: 146 }),
  beidou: habits(evenSchedule(3600, 0, GPS_MINUS_BDT_S), 24, {}),
  qzss: habits(evenSchedule(TWO_HOURS_S, TWO_HOURS_S), 240, { unhealthyBits: 63 }),
  navic: habits(evenSchedule(TWO_HOURS_S, TWO_HOURS_S), 256, {}),
};

function habits(schedule: Schedule, issues: number, others: Partial<RecordHabits>): RecordHabits {
  return { schedule, issues, dataSource: 0, fitHours: 0, accuracyM: 2, unhealthyBits: 1, ...others };
}

/** Satellite of a reference constellation: one unbroken orbit, and the records that tell it. */
export function keplerSatellite(elements: ReferenceElements, context: ReferenceContext): Satellite {
  const { system, number, orbitClass, semiMajorM } = elements;
  const { start, outOfService } = context;
  const id = satelliteId(system, number);
  const { schedule, issues, unhealthyBits } = HABITS[system];
  const isHealthy = !outOfService.includes(id);
  const toe = schedule.toeOf(schedule.indexAt(start));
  const base: KeplerRecord = {
    ...baseRecord(elements, toe, referenceClock(id, system), start),
    isHealthy,
    healthBits: isHealthy ? 0 : unhealthyBits,
  };
  const orbit = new KeplerOrbit(base, start);
  const status = isHealthy ? 'healthy' : 'unhealthy';
  return {
    id,
    system,
    number,
    orbitClass,
    frequencyNumber: 0,
    orbit: new InterpolatedOrbit(() => orbit),
    broadcast: new ScheduledBroadcast(start, schedule, (at, index) => {
      const issue = ((index % issues) + issues) % issues;
      return { ...rereferenced(base, at), iode: issue, iodc: issue };
    }),
    statusAt: () => status,
    travelS: typicalTravelS(semiMajorM),
  };
}

/** The record of a healthy satellite at a reference time. */
function baseRecord(elements: ReferenceElements, toe: GpsTime, clock: ReferenceClock, start: GpsTime): KeplerRecord {
  const { system, semiMajorM, eccentricity, nodeRateRadps, meanMotionRadps, epoch } = elements;
  const { schedule, dataSource, fitHours, accuracyM } = HABITS[system];
  const earthRadps = earthRotationOf(system);
  const sinceEpochS = epoch === null ? 0 : secondsBetween(toe, epoch);
  const nodeLongitudeRad = elements.nodeLongitudeDeg * RAD_PER_DEG + turnedRad(nodeRateRadps - earthRadps, sinceEpochS);
  return {
    kind: 'kepler',
    id: satelliteId(system, elements.number),
    system,
    isHealthy: true,
    sentAt: addSeconds(toe, -schedule.leadS),
    toc: toe,
    clock: { af0S: biasAtS(clock, start, toe), af1: clock.drift, af2PerS: 0 },
    toe,
    rootSemiMajor: Math.sqrt(semiMajorM),
    eccentricity,
    inclinationRad: elements.inclinationDeg * RAD_PER_DEG,
    inclinationRateRadps: 0,
    nodeRad: reducedRad(nodeLongitudeRad + earthRadps * ownTowS(system, toe)),
    nodeRateRadps,
    perigeeRad: reducedRad(elements.perigeeDeg * RAD_PER_DEG),
    meanAnomalyRad: reducedRad(elements.meanAnomalyDeg * RAD_PER_DEG + turnedRad(meanMotionRadps, sinceEpochS)),
    meanMotionDeltaRadps: meanMotionRadps - Math.sqrt(gmOf(system) / semiMajorM ** 3),
    ...NO_HARMONICS,
    iode: 0,
    iodc: 0,
    accuracyM,
    healthBits: 0,
    dataSource,
    fitHours,
    groupDelaysS: clock.groupDelaysS,
  };
}
