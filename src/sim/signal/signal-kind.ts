import { SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import type { SystemName } from '../sky/system.js';

/** Where in the spectrum a receiver listens: the upper band, and one of two lower ones. */
export type Band = 'L1' | 'L2' | 'L5';

/** A signal's name in its system. */
export type SignalName = 'L1' | 'L2' | 'L5' | 'G1' | 'G2' | 'E1' | 'E5a' | 'E5b' | 'B1' | 'B2a' | 'B3';

/** One kind of signal that a system sends. */
export interface SignalKind {
  readonly name: SignalName;
  readonly system: SystemName;
  readonly band: Band;
  /** Carrier, Hz; of GLONASS that of frequency number 0. */
  readonly carrierHz: number;
  /** GLONASS: carrier step from one frequency number to the next, Hz; else 0. */
  readonly channelStepHz: number;
  /** Length of a chip of the ranging code, m. */
  readonly chipM: number;
  /** Band and attribute of its RINEX observation codes: `1C` in C1C, L1C, D1C, S1C. */
  readonly rinex: string;
}

const MEGA = 1e6;
const chip = (megachipsPerS: number) => SPEED_OF_LIGHT_MPS / (megachipsPerS * MEGA);

/**
 * Every signal that the receiver knows, a satellite's first one first.
 * Source: RINEX 3.04, tables 4 to 10 (carriers, codes); IS-GPS-200N 3.2.1, 3.3.1 and IS-GPS-705J 3.2.1 (chip rates);
 * GLONASS ICD 5.1, 3.3; Galileo OS SIS ICD 2.1, 2.3; BeiDou ICDs B1I 3.0, B2a 1.0, B3I 1.0; IRNSS SIS ICD 1.1.
 */
export const SIGNAL_KINDS: readonly SignalKind[] = [
  kind('L1', 'gps', 'L1', 1575.42, 1.023, '1C'),
  kind('L2', 'gps', 'L2', 1227.6, 1.023, '2L'),
  kind('L5', 'gps', 'L5', 1176.45, 10.23, '5Q'),
  kind('G1', 'glonass', 'L1', 1602, 0.511, '1C', 0.5625),
  kind('G2', 'glonass', 'L2', 1246, 0.511, '2C', 0.4375),
  kind('E1', 'galileo', 'L1', 1575.42, 1.023, '1C'),
  kind('E5b', 'galileo', 'L2', 1207.14, 10.23, '7Q'),
  kind('E5a', 'galileo', 'L5', 1176.45, 10.23, '5Q'),
  kind('B1', 'beidou', 'L1', 1561.098, 2.046, '2I'),
  kind('B3', 'beidou', 'L2', 1268.52, 10.23, '6I'),
  kind('B2a', 'beidou', 'L5', 1176.45, 10.23, '5P'),
  kind('L1', 'qzss', 'L1', 1575.42, 1.023, '1C'),
  kind('L2', 'qzss', 'L2', 1227.6, 1.023, '2L'),
  kind('L5', 'qzss', 'L5', 1176.45, 10.23, '5Q'),
  kind('L5', 'navic', 'L5', 1176.45, 1.023, '5A'),
  kind('L1', 'sbas', 'L1', 1575.42, 1.023, '1C'),
  kind('L5', 'sbas', 'L5', 1176.45, 10.23, '5I'),
];

function kind(
  name: SignalName,
  system: SystemName,
  band: Band,
  carrierMhz: number,
  megachipsPerS: number,
  rinex: string,
  stepMhz = 0,
): SignalKind {
  return {
    name,
    system,
    band,
    carrierHz: carrierMhz * MEGA,
    channelStepHz: stepMhz * MEGA,
    chipM: chip(megachipsPerS),
    rinex,
  };
}

/**
 * The signals of a system that a receiver with these bands can take in, the first one first; none: it hears nothing.
 */
export function signalsOf(system: SystemName, bands: readonly Band[]): readonly SignalKind[] {
  return SIGNAL_KINDS.filter((each) => each.system === system && bands.includes(each.band));
}

/** Carrier of a signal from a satellite with this GLONASS frequency number (else 0), Hz. */
export function carrierHz(signal: SignalKind, frequencyNumber: number): number {
  return signal.carrierHz + signal.channelStepHz * frequencyNumber;
}
