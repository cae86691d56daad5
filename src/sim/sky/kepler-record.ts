import {
  EARTH_ROTATION_BEIDOU_RADPS,
  EARTH_ROTATION_RADPS,
  GM_EARTH_M3PS2,
  GM_GPS_M3PS2,
  RAD_PER_DEG,
  SECONDS_PER_WEEK,
} from '../../base/constants.js';
import { addSeconds, type GpsTime, secondsBetween } from '../../base/time.js';
import { GPS_MINUS_BDT_S } from '../../base/time-scales.js';
import type { BroadcastRecord, ClockTerms, KeplerRecord } from './broadcast-record.js';
import type { OrbitClass } from './orbit.js';
import type { SystemName } from './system.js';

const TURN_RAD = 2 * Math.PI;

/**
 * Below this step of the eccentric anomaly (rad) Kepler's equation counts as solved: 5 um at the geostationary height.
 */
const KEPLER_STEP_RAD = 1e-13;

/** BeiDou B1I 3.0, 5.2.4.12: a geostationary satellite's elements are given in a plane tilted by -5 deg. */
export const GEO_TILT_DEG = 5;
export const GEO_TILT_RAD = GEO_TILT_DEG * RAD_PER_DEG;

/** An orbit without harmonic corrections. */
export const NO_HARMONICS = { cucRad: 0, cusRad: 0, cicRad: 0, cisRad: 0, crcM: 0, crsM: 0 } as const;

/**
 * The eccentric anomaly of a mean one, rad, by Newton's method.
 * @param eccentricity [0, 0.5]
 */
export function eccentricAnomalyRad(meanAnomalyRad: number, eccentricity: number): number {
  let anomaly = meanAnomalyRad + eccentricity * Math.sin(meanAnomalyRad);
  for (let pass = 0; pass < 10; pass++) {
    const off = meanAnomalyRad - anomaly + eccentricity * Math.sin(anomaly);
    const step = off / (1 - eccentricity * Math.cos(anomaly));
    anomaly += step;
    if (step < KEPLER_STEP_RAD && step > -KEPLER_STEP_RAD) break;
  }
  return anomaly;
}

/** The Earth's gravitational constant that a system's records count with, m3/s2. */
export function gmOf(system: SystemName): number {
  return system === 'galileo' || system === 'beidou' ? GM_EARTH_M3PS2 : GM_GPS_M3PS2;
}

/** The Earth's rotation rate that a system's records count with, rad/s. */
export function earthRotationOf(system: SystemName): number {
  return system === 'beidou' ? EARTH_ROTATION_BEIDOU_RADPS : EARTH_ROTATION_RADPS;
}

/** Seconds of the system's own week: BeiDou's begins 14 s after that of GPS. */
export function ownTowS(system: SystemName, time: GpsTime): number {
  return system === 'beidou' ? addSeconds(time, -GPS_MINUS_BDT_S).towS : time.towS;
}

/** Mean motion with its correction, rad/s. */
export function meanMotionRadps(record: KeplerRecord): number {
  return Math.sqrt(gmOf(record.system) / record.rootSemiMajor ** 6) + record.meanMotionDeltaRadps;
}

/** BeiDou's geostationary satellites, C01 to C05 and from C59 on, follow an algorithm of their own. */
export function isTiltedGeo({ system, id }: KeplerRecord): boolean {
  if (system !== 'beidou') return false;
  const number = Number(id.slice(1));
  return number <= 5 || number >= 59;
}

/** An angle in (-pi, pi]. */
export function reducedRad(angleRad: number): number {
  const rest = angleRad - TURN_RAD * Math.round(angleRad / TURN_RAD);
  return rest <= -Math.PI ? rest + TURN_RAD : rest;
}

/**
 * The same orbit and clock told for another reference time, which is `toe` and `toc` then. Only for records without
 * harmonics; exact for those whose perigee does not turn, and for BeiDou's geostationary ones where the node stands.
 */
export function rereferenced(record: KeplerRecord, toe: GpsTime): KeplerRecord {
  const laterS = secondsBetween(toe, record.toe);
  const moved = {
    ...record,
    toe,
    toc: toe,
    sentAt: addSeconds(record.sentAt, laterS),
    clock: laterClock(record.clock, secondsBetween(toe, record.toc)),
    meanAnomalyRad: reducedRad(record.meanAnomalyRad + meanMotionRadps(record) * laterS),
    inclinationRad: record.inclinationRad + record.inclinationRateRadps * laterS,
    nodeRad: reducedRad(record.nodeRad + record.nodeRateRadps * laterS - weeksTurnRad(record, toe, laterS)),
  };
  return isTiltedGeo(record) ? turnedGeo(record, moved, laterS) : moved;
}

function laterClock({ af0S, af1, af2PerS }: ClockTerms, laterS: number): ClockTerms {
  return { af0S: af0S + (af1 + af2PerS * laterS) * laterS, af1: af1 + 2 * af2PerS * laterS, af2PerS };
}

/** The Earth's turn in the whole weeks between the beginnings of two own weeks, rad. */
function weeksTurnRad({ system, toe: from }: KeplerRecord, toe: GpsTime, laterS: number): number {
  const weeks = Math.round((laterS + ownTowS(system, from) - ownTowS(system, toe)) / SECONDS_PER_WEEK);
  return ((earthRotationOf(system) * SECONDS_PER_WEEK) % TURN_RAD) * weeks;
}

/**
 * The tilted plane of a BeiDou geostationary satellite lies otherwise for another reference time: the Earth has turned.
 */
function turnedGeo(from: KeplerRecord, moved: KeplerRecord, laterS: number): KeplerRecord {
  const earth = EARTH_ROTATION_BEIDOU_RADPS;
  const tilt = GEO_TILT_RAD;
  const node = from.nodeRad + from.nodeRateRadps * laterS - earth * ownTowS('beidou', from.toe);
  const turn = (v: Vector): Vector => aboutX(aboutZ(aboutX(v, tilt), -earth * laterS), -tilt);
  const sinI = Math.sin(moved.inclinationRad);
  const cosI = Math.cos(moved.inclinationRad);
  const sinP = Math.sin(from.perigeeRad);
  const cosP = Math.cos(from.perigeeRad);
  const normal = turn([Math.sin(node) * sinI, -Math.cos(node) * sinI, cosI]);
  const perigee = turn(aboutZ([cosP, sinP * cosI, sinP * sinI], node));
  const nodeTurned = Math.atan2(normal[0], -normal[1]);
  const [alongNode, acrossNode] = aboutZ(perigee, -nodeTurned);
  const inclinationRad = Math.atan2(Math.hypot(normal[0], normal[1]), normal[2]);
  return {
    ...moved,
    inclinationRad,
    nodeRad: reducedRad(nodeTurned + earth * ownTowS('beidou', moved.toe)),
    perigeeRad: Math.atan2(acrossNode * Math.cos(inclinationRad) + perigee[2] * Math.sin(inclinationRad), alongNode),
  };
}

type Vector = readonly [number, number, number];

function aboutX([x, y, z]: Vector, angleRad: number): Vector {
  const cos = Math.cos(angleRad);
  const sin = Math.sin(angleRad);
  return [x, y * cos - z * sin, y * sin + z * cos];
}

function aboutZ([x, y, z]: Vector, angleRad: number): Vector {
  const cos = Math.cos(angleRad);
  const sin = Math.sin(angleRad);
  return [x * cos - y * sin, x * sin + y * cos, z];
}

/**
 * A record as if it had been sent `laterS` later: the satellite then runs through the same Earth-fixed places. The node
 * is referred to the beginning of a week, and so moves unless `laterS` is whole weeks.
 */
export function movedRecord(record: BroadcastRecord, laterS: number): BroadcastRecord {
  const toe = addSeconds(record.toe, laterS);
  const sentAt = addSeconds(record.sentAt, laterS);
  if (record.kind === 'state') return { ...record, toe, sentAt };
  const { system } = record;
  const turnRad = earthRotationOf(system) * (ownTowS(system, toe) - ownTowS(system, record.toe));
  const nodeRad = turnRad === 0 ? record.nodeRad : reducedRad(record.nodeRad + turnRad);
  return { ...record, toe, toc: addSeconds(record.toc, laterS), sentAt, nodeRad };
}

/** Farther out than this an orbit is (geo)synchronous, m (its semi-major axis is 42,164 km). */
const SYNCHRONOUS_M = 38_000_000;
/** Inclined less than this, a synchronous satellite counts as geostationary: BeiDou's elements add 5 deg of tilt. */
const GEO_INCLINATION_RAD = 0.3;

/** Which kind of orbit the elements describe. */
export function orbitClassOf({ rootSemiMajor, inclinationRad }: KeplerRecord): OrbitClass {
  if (rootSemiMajor ** 2 < SYNCHRONOUS_M) return 'meo';
  return inclinationRad < GEO_INCLINATION_RAD ? 'geo' : 'igso';
}
