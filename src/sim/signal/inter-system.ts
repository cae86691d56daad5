import type { RandomStreams } from '../../base/random.js';
import { SYSTEM_NAMES, type SystemName } from '../sky/system.js';
import type { ErrorSwitches } from './error-switches.js';

/** From the least to the greatest offset of a system's time and hardware delays in a receiver, m: common practice. */
const OFFSETS_M: Readonly<Partial<Record<SystemName, readonly [number, number]>>> = {
  glonass: [15, 60],
  galileo: [2, 10],
  beidou: [4, 30],
  navic: [4, 30],
};

/**
 * Offset of each system in this receiver, m: the same throughout a run. GPS, QZSS and SBAS have none: a solver has no
 * unknown for it.
 */
export function interSystemOffsetsM(streams: RandomStreams, switches: ErrorSwitches): Record<SystemName, number> {
  const offsets = {} as Record<SystemName, number>;
  for (const system of SYSTEM_NAMES) {
    const range = switches.interSystem ? OFFSETS_M[system] : undefined;
    if (range === undefined) {
      offsets[system] = 0;
      continue;
    }
    const stream = streams.stream(`inter-system/${system}`);
    const sizeM = range[0] + (range[1] - range[0]) * stream.uniform();
    offsets[system] = stream.uniform() < 0.5 ? -sizeM : sizeM;
  }
  return offsets;
}
