import type { OrbitClass } from '../sky/orbit.js';
import type { SystemName } from '../sky/system.js';
import type { SignalKind, SignalName } from './signal-kind.js';

/** Half of a signal's power is in the component that a receiver tracks, dB. */
const PILOT_DB = 10 * Math.log10(0.5);

/**
 * Least power that each signal's control document promises at 5 deg elevation, in the component that is tracked, dBW,
 * from a medium orbit where there is one.
 * Sources: GPS SPS Performance Standard and IS-GPS-200N 6.3.1 (L1 C/A -158.5, L2C of Block IIF -160.0), IS-GPS-705J
 * (L5 -157.9 for each component); GLONASS ICD 5.1 (L1 -161, from memory; L2 of GLONASS-M -163, from memory); Galileo OS
 * SIS ICD 2.1 (E1 -157.25, E5a and E5b -155.25, both components together; E5 from memory); BeiDou ICDs B1I 3.0 (-163),
 * B3I 1.0 (-163, from memory), B2a 1.0 (-156 in both components, from memory); IS-QZSS-PNT (as GPS, from memory); IRNSS
 * SIS ICD 1.1 (L5 -159, from memory); RTCA DO-229 (SBAS L1 -161, from memory); SBAS L5 -158 (from memory).
 */
const MINIMUM_DBW: Readonly<Record<SystemName, Readonly<Partial<Record<SignalName, number>>>>> = {
  gps: { L1: -158.5, L2: -160, L5: -157.9 },
  glonass: { G1: -161, G2: -163 },
  galileo: { E1: -157.25 + PILOT_DB, E5a: -155.25 + PILOT_DB, E5b: -155.25 + PILOT_DB },
  beidou: { B1: -163, B3: -163, B2a: -156 + PILOT_DB },
  qzss: { L1: -158.5, L2: -160, L5: -157.9 },
  navic: { L5: -159 },
  sbas: { L1: -161, L5: -158 },
};

/** BeiDou's higher orbits promise 2 dB less than its medium ones (ICD B1C 1.0: -159 and -161 dBW, from memory). */
const BEIDOU_HIGH_DB = -2;

/** Least received power at 5 deg elevation into 0 dBi, dBW. */
export function minimumPowerDbw({ system, name }: SignalKind, orbitClass: OrbitClass): number {
  const dbw = MINIMUM_DBW[system][name];
  if (dbw === undefined) throw new Error(`no received power is known of ${system} ${name}`);
  return system === 'beidou' && orbitClass !== 'meo' ? dbw + BEIDOU_HIGH_DB : dbw;
}

/** As {@link minimumPowerDbw}, over GPS L1 C/A, dB. */
export function aboveGpsDb(kind: SignalKind, orbitClass: OrbitClass): number {
  return minimumPowerDbw(kind, orbitClass) - (MINIMUM_DBW.gps.L1 as number);
}
