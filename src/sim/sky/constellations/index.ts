import { type LeapSeconds, PUBLISHED_LEAP_SECONDS } from '../../../base/leap-seconds.js';
import type { GpsTime } from '../../../base/time.js';
import type { Satellite } from '../orbit.js';
import { SYSTEM_NAMES, type SystemName } from '../system.js';
import { beidouSatellites } from './beidou.js';
import { galileoSatellites } from './galileo.js';
import { glonassSatellites } from './glonass.js';
import { gpsSatellites } from './gps.js';
import { navicSatellites } from './navic.js';
import { qzssSatellites } from './qzss.js';
import type { ReferenceContext } from './reference-context.js';
import { sbasSatellites } from './sbas.js';

const CONSTELLATIONS: Readonly<Record<SystemName, (context: ReferenceContext) => Satellite[]>> = {
  gps: gpsSatellites,
  glonass: glonassSatellites,
  galileo: galileoSatellites,
  beidou: beidouSatellites,
  qzss: qzssSatellites,
  navic: navicSatellites,
  sbas: sbasSatellites,
};

/**
 * The reference constellations at any date from 1980 on: one unbroken orbit for each satellite, which its broadcast
 * records tell to less than 1 mm while they are in force. The same instant gives the same sky whenever a scenario
 * starts; clocks run evenly from the beginning of the start's week.
 * @param outOfService names (G05) of satellites that send, and say that they must not be used
 */
export function referenceSatellites(
  systems: readonly SystemName[],
  start: GpsTime,
  leap: LeapSeconds = PUBLISHED_LEAP_SECONDS,
  outOfService: readonly string[] = [],
): Satellite[] {
  const context: ReferenceContext = { start, leap, outOfService };
  return SYSTEM_NAMES.filter((name) => systems.includes(name)).flatMap((name) => CONSTELLATIONS[name](context));
}
