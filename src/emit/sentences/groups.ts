import type { Report } from '../../sim/epoch.js';
import type { SystemName } from '../../sim/sky/system.js';
import type { SentenceStyle } from './style.js';

/**
 * Satellites are listed in groups, one a talker, in this order: GPS with SBAS (and QZSS where it goes under GP),
 * GLONASS, Galileo, BeiDou, QZSS, NavIC. Their system ids are 1 to 6 in this order (NMEA 0183 4.11, second hand).
 */
export const GROUP_COUNT = 6;
const QZSS_GROUP = 4;
export const BEIDOU_GROUP = 3;

const GROUP_OF: Readonly<Record<SystemName, number>> = {
  gps: 0,
  sbas: 0,
  glonass: 1,
  galileo: 2,
  beidou: BEIDOU_GROUP,
  qzss: QZSS_GROUP,
  navic: 5,
};

/** The first signal of each group: that of a satellite which is not tracked. Galileo's is E1. */
export const FIRST_SIGNAL_IDS = [1, 1, 7, 1, 1, 1] as const;

/** The group of a system. */
export function groupOfSystem(system: SystemName, { qzssTalker }: SentenceStyle): number {
  return system === 'qzss' && qzssTalker === 'GP' ? 0 : GROUP_OF[system];
}

/** The talker of each group. */
export function groupTalkers({ beidouTalker, qzssTalker }: SentenceStyle): readonly string[] {
  return ['GP', 'GL', 'GA', beidouTalker, qzssTalker, 'GI'];
}

/** The groups of these systems, as bits. */
export function groupsOf(systems: Iterable<SystemName>, style: SentenceStyle): number {
  let bits = 0;
  for (const system of systems) bits |= 1 << groupOfSystem(system, style);
  return bits;
}

/** The groups that the receiver can have satellites of, as bits; GPS where the report says nothing. */
export function groupsOfReport({ systemModes }: Report, style: SentenceStyle): number {
  let bits = 0;
  for (const system in systemModes) bits |= 1 << groupOfSystem(system as SystemName, style);
  return bits === 0 ? 1 : bits;
}

/** Who speaks for these groups: the talker of the only one, GN for several. QZSS beside GPS is not counted. */
export function talkerOf(groups: number, style: SentenceStyle): string {
  const counted = groups & 1 ? groups & ~(1 << QZSS_GROUP) : groups;
  for (let group = 0; group < GROUP_COUNT; group++) {
    if (counted === 1 << group) return groupTalkers(style)[group] as string;
  }
  return counted === 0 ? 'GP' : 'GN';
}
