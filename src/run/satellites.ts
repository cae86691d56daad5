import type { LeapSeconds } from '../base/leap-seconds.js';
import { type GpsTime, gpsFromUtc, type Utc } from '../base/time.js';
import type { NamedText, Scenario, SkyChoice } from '../scenario/scenario.js';
import { type KlobucharCoefficients, TYPICAL_KLOBUCHAR } from '../sim/signal/atmosphere/klobuchar.js';
import { almanacSatellites, parseAlmanac } from '../sim/sky/almanac.js';
import { referenceSatellites } from '../sim/sky/constellations/index.js';
import { navigationSatellites } from '../sim/sky/navigation-sky.js';
import type { Satellite } from '../sim/sky/orbit.js';
import { parseNavigation } from '../sim/sky/rinex/navigation.js';
import type { NavigationFile } from '../sim/sky/rinex/navigation-file.js';

/** What is in the sky of a run. */
export interface SkyOfRun {
  readonly satellites: readonly Satellite[];
  /** The ionosphere as satellites broadcast it. */
  readonly klobuchar: KlobucharCoefficients;
}

/**
 * The sky of a scenario that starts at `startUtc`: that of its navigation file or almanac, or the reference
 * constellation, without the satellites out of service.
 * @param durationS how long the run lasts, s; Infinity: no end
 * @throws LodestubError `almanac.…`, `navigation.…`
 */
export function skyOf({ sky, leapSeconds }: Scenario, startUtc: Utc, durationS: number): SkyOfRun {
  const start = gpsFromUtc(startUtc, leapSeconds);
  const found = allOf(sky, start, durationS, leapSeconds);
  return { ...found, satellites: found.satellites.filter(({ id }) => !sky.outOfService.includes(id)) };
}

function allOf(
  { systems, almanac, navigation, shift }: SkyChoice,
  start: GpsTime,
  durationS: number,
  leapSeconds: LeapSeconds,
): SkyOfRun {
  if (navigation !== null) {
    const parsed = parsedOnce(navigation);
    const satellites = navigationSatellites(parsed, { start, durationS, shift, name: navigation.path, systems });
    return { satellites, klobuchar: parsed.klobuchar ?? TYPICAL_KLOBUCHAR };
  }
  const satellites =
    almanac === null
      ? referenceSatellites(systems, start, leapSeconds)
      : almanacSatellites(parseAlmanac(almanac.text, almanac.path), start, shift, almanac.path);
  return { satellites, klobuchar: TYPICAL_KLOBUCHAR };
}

/**
 * Files that have been read: a scenario is checked as a whole before it runs, and a day's file takes a tenth of a
 * second.
 */
const PARSED = new WeakMap<NamedText, NavigationFile>();

function parsedOnce(file: NamedText): NavigationFile {
  const known = PARSED.get(file) ?? parseNavigation(file.text, file.path);
  PARSED.set(file, known);
  return known;
}
