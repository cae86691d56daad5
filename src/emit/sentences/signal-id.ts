import type { SignalName } from '../../sim/signal/signal-kind.js';
import type { SystemName } from '../../sim/sky/system.js';

/**
 * Signal ids by system and signal. Of GPS and QZSS the L2C component tracked is L (medium is 5) and that of L5 is Q
 * (I is 7). Source: NMEA 0183 4.11, system and signal ids (second hand). SBAS is listed with GPS, under its ids.
 */
const SIGNAL_IDS: Readonly<Record<SystemName, Readonly<Partial<Record<SignalName, number>>>>> = {
  gps: { L1: 1, L2: 6, L5: 8 },
  glonass: { G1: 1, G2: 3 },
  galileo: { E1: 7, E5a: 1, E5b: 2 },
  beidou: { B1: 1, B2a: 5, B3: 8 },
  qzss: { L1: 1, L2: 6, L5: 8 },
  navic: { L5: 1 },
  sbas: { L1: 1, L5: 7 },
};

/** BeiDou's B2I, which no satellite here sends. */
export const BEIDOU_B2I_ID = 11;

/** Ids are below this. */
export const SIGNAL_ID_END = 16;

/** A signal's id within its system, 1 to 15; 0, that is all signals, for one that has none. */
export function signalId(system: SystemName, name: SignalName): number {
  return SIGNAL_IDS[system][name] ?? 0;
}

/** A signal id as written. */
export function signalIdText(id: number, base: 'hexadecimal' | 'decimal'): string {
  return base === 'hexadecimal' ? id.toString(16).toUpperCase() : String(id);
}
