import type { GpsTime } from '../base/time.js';
import type { SkyChoice } from '../scenario/scenario.js';
import { gpsBaseline } from '../sim/sky/gps-baseline.js';
import type { Satellite } from '../sim/sky/orbit.js';
import { parseYuma, yumaSatellites } from '../sim/sky/yuma.js';

/**
 * The satellites of a scenario that starts at `start`: those of its almanac, or of the reference constellation, without
 * those out of service.
 * @throws LodestubError `almanac.…`
 */
export function satellitesOf({ almanac, shift, outOfService }: SkyChoice, start: GpsTime): Satellite[] {
  const all =
    almanac === null
      ? gpsBaseline(start)
      : yumaSatellites(parseYuma(almanac.text, almanac.path), start, shift, almanac.path);
  return all.filter(({ id }) => !outOfService.includes(id));
}
