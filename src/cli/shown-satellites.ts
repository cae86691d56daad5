import type { SatelliteInView, SatelliteTruth } from '../sim/epoch.js';
import type { PlayedEpoch } from '../truth/recorded-epoch.js';

/** A satellite as a picture of the sky has it. */
export type ShownSatellite = Pick<SatelliteTruth, 'id' | 'azimuthDeg' | 'elevationDeg' | 'state' | 'signals'>;

/**
 * The satellites of an epoch for a picture: those that there truly are; of a recording those that its sentences list
 * with their places. One with a C/N0 counts as tracked, another as searched for; nobody knows what was hidden.
 */
export function shownSatellites({ truth, satellites, report }: PlayedEpoch): readonly ShownSatellite[] {
  if (truth !== null) return satellites;
  return report.inView.flatMap(({ id, azimuthDeg, elevationDeg, cn0DbHz }: SatelliteInView) => {
    if (azimuthDeg === null || elevationDeg === null) return [];
    const state = cn0DbHz === null ? ('searching' as const) : ('tracking' as const);
    // The number alone: which system it is of, only some talkers tell.
    const number = id.slice(id.lastIndexOf('/') + 1);
    return [{ id: number, azimuthDeg, elevationDeg, state, signals: { L1: { cn0DbHz } } }];
  });
}
