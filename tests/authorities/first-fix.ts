import type { SystemName } from '../../src/sim/sky/system.js';

/** The frame that orbits are read from, written down from what was published: nothing here is the program's. */
interface PublishedFrame {
  readonly unitS: number;
  readonly units: number;
  /** GPS time less the time that frames are aligned to, s. */
  readonly shiftS: number;
  /** Units that bear orbit and clock, and those that bear the time of week or day, from 1. */
  readonly ephemeris: readonly number[];
  readonly time: readonly number[];
}

/** GPS - UTC since 2017, s (IERS Bulletin C 52): GLONASS frames are aligned to UTC + 3 h. */
const GPS_MINUS_UTC_S = 18;

/** The systems with a message of their own in the upper band. */
export type TimedSystem = Extract<SystemName, 'gps' | 'glonass' | 'galileo' | 'beidou'>;

const PUBLISHED: Readonly<Record<TimedSystem, PublishedFrame>> = {
  /** IS-GPS-200N, figure 20-1. */
  gps: { unitS: 6, units: 5, shiftS: 0, ephemeris: [1, 2, 3], time: [1, 2, 3, 4, 5] },
  /** GLONASS ICD 5.1, 4.3 and table 4.6. */
  glonass: { unitS: 2, units: 15, shiftS: GPS_MINUS_UTC_S, ephemeris: [1, 2, 3, 4], time: [1] },
  /** Galileo OS SIS ICD, E1-B: words 2 4 6 7 8 17 19 16 0 22 1 3 5 0 16 from the first odd second on (from memory). */
  galileo: { unitS: 2, units: 15, shiftS: 1, ephemeris: [11, 1, 12, 2], time: [3, 9, 13, 14] },
  /** BeiDou ICD B1I 3.0, 5.2 (D1); BDT = GPS time - 14 s. */
  beidou: { unitS: 6, units: 5, shiftS: 14, ephemeris: [1, 2, 3], time: [1, 2, 3, 4, 5] },
};

/** Light takes some 75 ms from a medium orbit. */
const TRAVEL_S = 0.075;

/** A satellite of an open sky: since when its bits can be read, s after the start. */
export interface ReadableSatellite {
  readonly system: TimedSystem;
  readonly sinceS: number;
}

/** End of the first unit of this number that begins to arrive at `atS` of GPS time or later. */
function endOf({ unitS, units, shiftS }: PublishedFrame, unit: number, atS: number): number {
  const beginS = (unit - 1) * unitS + shiftS + TRAVEL_S;
  const frameS = unitS * units;
  return beginS + Math.ceil((atS - beginS) / frameS) * frameS + unitS;
}

/**
 * When a cold receiver can have its first position by the timing of the messages alone, s after the start: a time is
 * known, and orbits of as many satellites as there are unknowns, one clock a system beside the place. (No change of the
 * data sets falls in the span.)
 * @param towS GPS seconds of the week at the start
 * @param coordinates 3, or 2 where the height is taken for known
 */
export function firstFixByTimingS(
  towS: number,
  satellites: readonly ReadableSatellite[],
  coordinates: 2 | 3 = 3,
): number {
  let timeS = Infinity;
  const orbits: Array<{ system: TimedSystem; atS: number }> = [];
  for (const { system, sinceS } of satellites) {
    const frame = PUBLISHED[system];
    const ends = (units: readonly number[]) => units.map((unit) => endOf(frame, unit, towS + sinceS) - towS);
    timeS = Math.min(timeS, ...ends(frame.time));
    orbits.push({ system, atS: Math.max(...ends(frame.ephemeris)) });
  }
  orbits.sort((a, b) => a.atS - b.atS);
  const seen = new Set<TimedSystem>();
  let spare = 0;
  for (const { system, atS } of orbits) {
    // A system's first satellite pays for its clock.
    if (seen.has(system)) spare++;
    else seen.add(system);
    if (spare >= coordinates) return Math.max(atS, timeS);
  }
  return Infinity;
}
