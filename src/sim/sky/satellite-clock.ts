import { SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import { type GpsTime, secondsBetween } from '../../base/time.js';
import type { BroadcastRecord, KeplerRecord } from './broadcast-record.js';
import { eccentricAnomalyRad, gmOf, meanMotionRadps } from './kepler-record.js';

/** A satellite's clock against its system's time. */
export interface SatelliteClock {
  /** Satellite clock minus system time, s. */
  readonly offsetS: number;
  /** Its rate, 1. */
  readonly drift: number;
}

/**
 * Satellite clock by its record, `sinceStartS` after `start`, without group delays. Of Keplerian elements the effect of
 * the orbit's eccentricity is added; the clocks that GLONASS and SBAS broadcast contain it.
 * Sources: IS-GPS-200N, 20.3.3.3.3.1 (the others' control documents do the same with their gravitational constant);
 * GLONASS ICD 5.1, 3.3.3; RTCA DO-229D, A.4.4.11.
 */
export function satelliteClock(record: BroadcastRecord, sinceStartS: number, start: GpsTime): SatelliteClock {
  if (record.kind === 'kepler') return keplerClock(record, sinceStartS, start);
  const { clockBiasS, clockDrift, toe } = record;
  return { offsetS: clockBiasS + clockDrift * (sinceStartS - secondsBetween(toe, start)), drift: clockDrift };
}

function keplerClock(record: KeplerRecord, sinceStartS: number, start: GpsTime): SatelliteClock {
  const { clock, eccentricity: e, rootSemiMajor } = record;
  const tS = sinceStartS - secondsBetween(record.toc, start);
  const motion = meanMotionRadps(record);
  const sinceToeS = sinceStartS - secondsBetween(record.toe, start);
  const anomaly = eccentricAnomalyRad((record.meanAnomalyRad + motion * sinceToeS) % (2 * Math.PI), e);
  const relativity = (-2 * Math.sqrt(gmOf(record.system)) * e * rootSemiMajor) / SPEED_OF_LIGHT_MPS ** 2;
  const cos = Math.cos(anomaly);
  return {
    offsetS: clock.af0S + (clock.af1 + clock.af2PerS * tS) * tS + relativity * Math.sin(anomaly),
    drift: clock.af1 + 2 * clock.af2PerS * tS + (relativity * cos * motion) / (1 - e * cos),
  };
}
