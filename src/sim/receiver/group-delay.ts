import { GPS_L1_HZ } from '../../base/constants.js';
import type { SignalKind } from '../signal/signal-kind.js';
import type { BroadcastRecord, KeplerRecord } from '../sky/broadcast-record.js';

/** Carrier of NavIC's other band, S, Hz (RINEX 3.04, table 10). */
const NAVIC_S_HZ = 2_492_028_000;

/** Galileo's data sources: the clock is that for E1 with E5a (RINEX 3.04, table A8: bit 8). */
const F_NAV_CLOCK_BIT = 0x100;

/**
 * What the satellite's electronics add to a signal's pseudorange beyond the clock that it broadcasts, s; zero where the
 * record tells none (GLONASS, SBAS).
 *
 * GPS, QZSS: TGD by the square of the carriers' ratio (IS-GPS-200N, 20.3.3.3.3.2; of L5, whose own correction the older
 * message does not carry, alike). Galileo: the clock is that of E1 with E5b, or with E5a (Galileo OS SIS ICD 2.1,
 * 5.1.5); the signal outside the pair follows from E1, which belongs to both. BeiDou: the clock is that of B3 (B1I 3.0,
 * 5.2.4.10); of B2a this message tells nothing, it gets that of B2. NavIC: TGD is that of the S band (IRNSS SIS ICD
 * 1.1, 6.2.1.5).
 */
export function groupDelayS(record: BroadcastRecord, kind: SignalKind): number {
  if (record.kind === 'state') return 0;
  const [first, second] = record.groupDelaysS;
  switch (record.system) {
    case 'galileo':
      return galileoDelayS(record, kind);
    case 'beidou':
      return kind.name === 'B1' ? first : kind.name === 'B3' ? 0 : second;
    case 'navic':
      return first * squared(NAVIC_S_HZ / kind.carrierHz);
    default:
      return first * squared(GPS_L1_HZ / kind.carrierHz);
  }
}

function galileoDelayS(
  { groupDelaysS: [withE5a, withE5b], dataSource }: KeplerRecord,
  { name, carrierHz }: SignalKind,
): number {
  const upper = (dataSource & F_NAV_CLOCK_BIT) === 0 ? withE5b : withE5a;
  if (name === 'E5a') return upper - withE5a + withE5a * squared(GPS_L1_HZ / carrierHz);
  if (name === 'E5b') return upper - withE5b + withE5b * squared(GPS_L1_HZ / carrierHz);
  return upper;
}

function squared(value: number): number {
  return value * value;
}
