import { SECONDS_PER_WEEK } from '../../../base/constants.js';
import { addSeconds, type GpsTime, secondsBetween } from '../../../base/time.js';
import { GPS_MINUS_BDT_S } from '../../../base/time-scales.js';
import type { KeplerRecord } from '../broadcast-record.js';
import { type SystemName, systemOf } from '../system.js';
import type { RecordLines } from './lines.js';

/** How far before its reference time a record is first sent where the file does not say when, s. Common practice. */
const SENT_BEFORE_S: Readonly<Partial<Record<SystemName, number>>> = { gps: 7200, qzss: 7200 };
/** A time of sending beyond this is none: RINEX writes 0.9999E9, s. */
const LATEST_SENT_S = 2 * SECONDS_PER_WEEK;

/**
 * A record of elements, in the order in which RINEX gives them (RINEX 3.05, tables A6, A8, A12, A14, A18). The week is
 * that nearest to the clock's time, since files differ in whether they count it modulo 1024.
 * @returns null where a value is missing, or such that no satellite can be on the orbit
 */
export function readKepler(lines: RecordLines): KeplerRecord | null {
  const value = (index: number) => lines.number(index);
  const system = systemOf(lines.id);
  const isBeidou = system === 'beidou';
  const ownToc = lines.atomicEpoch();
  const ownToe = nearest(lines.numberOrNaN(11), ownToc);
  if (ownToe === null) return null;
  const ownSentAt = nearest(lines.numberOrNaN(27), ownToe) ?? addSeconds(ownToe, -(SENT_BEFORE_S[system] ?? 0));
  const inGps = (time: GpsTime) => (isBeidou ? addSeconds(time, GPS_MINUS_BDT_S) : time);
  const healthBits = value(24);
  const dataSource = system === 'galileo' ? value(20) : 0;
  const hasTwoDelays = isBeidou || system === 'galileo';
  const record: KeplerRecord = {
    kind: 'kepler',
    id: lines.id,
    system,
    isHealthy: isHealthy(system, healthBits, dataSource),
    sentAt: inGps(ownSentAt),
    toc: inGps(ownToc),
    clock: { af0S: value(0), af1: value(1), af2PerS: value(2) },
    toe: inGps(ownToe),
    iode: value(3),
    crsM: value(4),
    meanMotionDeltaRadps: value(5),
    meanAnomalyRad: value(6),
    cucRad: value(7),
    eccentricity: value(8),
    cusRad: value(9),
    rootSemiMajor: value(10),
    cicRad: value(12),
    nodeRad: value(13),
    cisRad: value(14),
    inclinationRad: value(15),
    crcM: value(16),
    perigeeRad: value(17),
    nodeRateRadps: value(18),
    inclinationRateRadps: value(19),
    accuracyM: value(23),
    healthBits,
    dataSource,
    groupDelaysS: [value(25), hasTwoDelays ? value(26) : 0],
    iodc: isBeidou ? value(28) : system === 'galileo' || system === 'navic' ? value(3) : value(26),
    fitHours: system === 'gps' || system === 'qzss' ? value(28) : 0,
  };
  return isPlausible(record) ? record : null;
}

/** Seconds of a week as the time nearest to another. */
function nearest(sowS: number, near: GpsTime): GpsTime | null {
  if (!(Math.abs(sowS) < LATEST_SENT_S)) return null;
  const time = addSeconds({ week: near.week, towS: 0 }, sowS);
  const weeks = Math.round(secondsBetween(time, near) / SECONDS_PER_WEEK);
  return { week: time.week - weeks, towS: time.towS };
}

/**
 * May the satellite's first signal be used? Galileo: the bits of E1-B, and of E5a for F/NAV (RINEX 3.05, table A8);
 * NavIC: bit 1 is L5 (table A18); else any bit says no.
 */
function isHealthy(system: SystemName, bits: number, dataSource: number): boolean {
  if (system === 'galileo') return (bits & ((dataSource & 0b101) !== 0 ? 0b111 : 0b111000)) === 0;
  if (system === 'navic') return (bits & 0b10) === 0;
  return bits === 0;
}

/** Least and greatest value that a satellite's orbit and clock can have; far beyond what any has. */
const RANGES: ReadonlyArray<readonly [keyof KeplerRecord, number, number]> = [
  ['rootSemiMajor', 4000, 7500],
  ['eccentricity', 0, 0.5],
  ['inclinationRad', -0.1, 3.2],
  ['nodeRad', -7, 7],
  ['perigeeRad', -7, 7],
  ['meanAnomalyRad', -7, 7],
  ['meanMotionDeltaRadps', -1e-6, 1e-6],
  ['nodeRateRadps', -1e-6, 1e-6],
  ['inclinationRateRadps', -1e-6, 1e-6],
  ['cucRad', -0.01, 0.01],
  ['cusRad', -0.01, 0.01],
  ['cicRad', -0.01, 0.01],
  ['cisRad', -0.01, 0.01],
  ['crcM', -1e5, 1e5],
  ['crsM', -1e5, 1e5],
];
/** The same of the clock: s, 1, 1/s. */
const CLOCK_LIMITS = { af0S: 1, af1: 1e-6, af2PerS: 1e-9 } as const;

function isPlausible(record: KeplerRecord): boolean {
  for (const [key, least, most] of RANGES) {
    const value = record[key] as number;
    if (!(value >= least && value <= most)) return false;
  }
  const { af0S, af1, af2PerS } = record.clock;
  const { groupDelaysS } = record;
  return (
    Math.abs(af0S) <= CLOCK_LIMITS.af0S &&
    Math.abs(af1) <= CLOCK_LIMITS.af1 &&
    Math.abs(af2PerS) <= CLOCK_LIMITS.af2PerS &&
    groupDelaysS.every((delayS) => Math.abs(delayS) < 1e-5)
  );
}
