import { type GpsTime, secondsBetween } from '../../base/time.js';
import type { BroadcastRecord } from './broadcast-record.js';
import { keplerClockS } from './kepler-clock.js';

/**
 * Satellite clock minus system time by its record, s, `sinceStartS` after `start`, without group delays. Of Keplerian
 * elements the effect of the orbit's eccentricity is added; the clocks that GLONASS and SBAS broadcast contain it.
 * Sources: IS-GPS-200N, 20.3.3.3.3.1; GLONASS ICD 5.1, 3.3.3; RTCA DO-229D, A.4.4.11.
 */
export function satelliteClockS(record: BroadcastRecord, sinceStartS: number, start: GpsTime): number {
  if (record.kind === 'kepler') return keplerClockS(record, start, sinceStartS);
  return record.clockBiasS + record.clockDrift * (sinceStartS - secondsBetween(record.toe, start));
}
