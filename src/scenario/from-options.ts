import { resolve } from 'node:path';
import { stringify } from 'yaml';
import { LodestubError } from '../base/error.js';
import { parseQuantity } from '../base/quantity.js';
import { buildTrajectory } from '../sim/trajectory/build-trajectory.js';
import type { Place, RouteStep, TrackPoint } from '../sim/trajectory/route.js';
import { formatPlace } from './place.js';
import { readScenario } from './read.js';
import type { Scenario, ScenarioOverrides } from './scenario.js';

/** Where the antenna is, without a scenario file: at one place, or on a recorded track. */
export interface PlaceOrTrack {
  readonly at?: Place;
  readonly track?: { readonly points: readonly TrackPoint[]; readonly source: string };
}

/** How long the antenna stays at a place that was given alone: longer than anyone lets it run. */
const STAY = '365 d';
/** Speed on a track whose points have no times: a walk. */
const WALK = '5 km/h';

/** What a scenario made from options is called in messages. */
const NAME = 'options';

/**
 * The scenario of `run --at` and `run --track`: starts now, cold, under an open sky. A track without times is walked
 * at 5 km/h. It has a source text, as if it had been written.
 * @throws LodestubError `scenario.one-of` unless exactly one of the two is given, `scenario.range`, `module.…`,
 *   `route.…`
 */
export async function scenarioFromOptions(
  { at, track }: PlaceOrTrack,
  overrides: ScenarioOverrides = {},
): Promise<Scenario> {
  if ((at === undefined) === (track === undefined)) {
    throw new LodestubError({ code: 'scenario.one-of', path: '--at, --track', expected: 'exactly one of the two' });
  }
  const options = { file: NAME, baseFolder: '', overrides };
  if (at !== undefined) {
    const text = written(`Standing at ${formatPlace(at)}`, { hold: STAY, at: placeParts(at) });
    const scenario = await readScenario(text, options);
    return { ...scenario, file: null, source: { file: null, text, changes: overrides } };
  }
  const { points, source } = track as NonNullable<typeof track>;
  const hasTimes = points.some(({ timeS }) => timeS !== undefined);
  const title = `The track ${source}`;
  const text = written(title, { track: resolve(source), ...(hasTimes ? {} : { speed: WALK }) });
  // The track has been read: all else is as for a place.
  const scenario = await readScenario(written(title, { hold: STAY, at: [0, 0] }), options);
  const manner = { accelerationMps2: 0.5, yawRateDegps: 10 };
  const speed = hasTimes ? {} : { speedMps: parseQuantity(WALK, 'speed') };
  const route: RouteStep[] = [{ kind: 'track', points, source, ...manner, ...speed }];
  return {
    ...scenario,
    route,
    trajectory: buildTrajectory(route),
    file: null,
    source: { file: null, text, changes: overrides },
  };
}

/** The scenario with one step, as somebody would write it. */
function written(title: string, step: object): string {
  return stringify({ lodestub: 1, title: title.slice(0, 120), start: 'now', route: [step] });
}

function placeParts({ latitudeDeg, longitudeDeg, altitudeMslM }: Place): number[] {
  return [latitudeDeg, longitudeDeg, ...(altitudeMslM === undefined ? [] : [altitudeMslM])];
}
