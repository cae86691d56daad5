import { SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import { type GpsTime, secondsBetween } from '../../base/time.js';
import type { KeplerRecord } from './broadcast-record.js';
import { eccentricAnomalyRad, gmOf, meanMotionRadps } from './kepler-record.js';

/** Clock of a satellite that broadcasts Keplerian elements, against its system's time. */
export interface SatelliteClock {
  /** Satellite clock minus system time, s. */
  offsetS: number;
  /** Its rate, 1. */
  drift: number;
}

/**
 * Satellite clock by its record `sinceStartS` after `start`, the effect of the orbit's eccentricity included, without
 * group delays.
 * @param out filled in place
 * Source: IS-GPS-200N, 20.3.3.3.3.1; the others' control documents do the same with their gravitational constant.
 */
export function keplerClock(record: KeplerRecord, start: GpsTime, sinceStartS: number, out: SatelliteClock): void {
  const { clock, eccentricity: e, rootSemiMajor } = record;
  const tS = sinceStartS - secondsBetween(record.toc, start);
  const motion = meanMotionRadps(record);
  const sinceToeS = sinceStartS - secondsBetween(record.toe, start);
  const anomaly = eccentricAnomalyRad((record.meanAnomalyRad + motion * sinceToeS) % (2 * Math.PI), e);
  const relativity = (-2 * Math.sqrt(gmOf(record.system)) * e * rootSemiMajor) / SPEED_OF_LIGHT_MPS ** 2;
  const cos = Math.cos(anomaly);
  out.offsetS = clock.af0S + (clock.af1 + clock.af2PerS * tS) * tS + relativity * Math.sin(anomaly);
  out.drift = clock.af1 + 2 * clock.af2PerS * tS + (relativity * cos * motion) / (1 - e * cos);
}

const scratch: SatelliteClock = { offsetS: 0, drift: 0 };

/** The offset of {@link keplerClock} alone, s. */
export function keplerClockS(record: KeplerRecord, start: GpsTime, sinceStartS: number): number {
  keplerClock(record, start, sinceStartS, scratch);
  return scratch.offsetS;
}
