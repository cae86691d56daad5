import type { SystemName } from '../sim/sky/system.js';

/** A satellite's system as far as sentences tell. */
export type SkySystem = SystemName | 'other';

const OF_TALKER: Readonly<Record<string, SkySystem>> = {
  GP: 'gps',
  GL: 'glonass',
  GA: 'galileo',
  GB: 'beidou',
  BD: 'beidou',
  GQ: 'qzss',
  PQ: 'qzss',
  QZ: 'qzss',
  GI: 'navic',
};

/** System ids of GSA from 4.10 on (NMEA 0183, second hand). */
const OF_ID: Readonly<Record<string, SkySystem>> = {
  1: 'gps',
  2: 'glonass',
  3: 'galileo',
  4: 'beidou',
  5: 'qzss',
  6: 'navic',
};

/**
 * The system of a satellite: by the system id, else by the talker, else (GN and others) by its number. Under GP numbers
 * of 33 to 64 and 120 to 158 are SBAS, 193 to 202 QZSS. Source: NMEA 0183 satellite ids (second hand), and variants
 * that modules write (common practice).
 * @param id the number, without leading zeros
 */
export function systemOfSatellite(talker: string, id: string, systemId: string | null = null): SkySystem {
  const number = Number(id);
  const named = (systemId === null ? undefined : OF_ID[systemId]) ?? OF_TALKER[talker];
  if (named !== undefined && named !== 'gps') return named;
  if ((number >= 33 && number <= 64) || (number >= 120 && number <= 158)) return 'sbas';
  if (number >= 193 && number <= 202) return named === 'gps' || number <= 200 ? 'qzss' : 'beidou';
  if (named === 'gps') return number >= 65 && number <= 96 ? 'glonass' : 'gps';
  if (number >= 1 && number <= 32) return 'gps';
  if (number >= 65 && number <= 96) return 'glonass';
  if (number >= 201 && number <= 263) return 'beidou';
  return number >= 301 && number <= 336 ? 'galileo' : 'other';
}

/** Signal ids of each system's first signal, in hexadecimal digits (NMEA 0183 4.11, second hand). */
const FIRST_SIGNAL: Readonly<Partial<Record<SkySystem, string>>> = {
  gps: '1',
  glonass: '1',
  galileo: '7',
  beidou: '1',
  qzss: '1',
  sbas: '1',
};

/** Whether a signal is the first one of its system, in the upper band; without an id, or 0 for all, it is taken so. */
export function isFirstSignal(system: SkySystem, signal: string | null): boolean {
  return signal === null || signal === '0' || FIRST_SIGNAL[system] === signal;
}
