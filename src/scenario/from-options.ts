import { LodestubError } from '../base/error.js';
import { PUBLISHED_LEAP_SECONDS } from '../base/leap-seconds.js';
import { ALL_ERRORS } from '../sim/signal/error-switches.js';
import { OPEN_SKY } from '../sim/surroundings.js';
import { buildTrajectory } from '../sim/trajectory/build-trajectory.js';
import type { Place, RouteStep, TrackPoint } from '../sim/trajectory/route.js';
import { checkOverrides } from './overrides.js';
import { formatPlace } from './place.js';
import type { Scenario, ScenarioOverrides } from './scenario.js';
import { DEFAULT_MODULE, resolveModule } from './shipped.js';

/** Where the antenna is, without a scenario file: at one place, or on a recorded track. */
export interface PlaceOrTrack {
  readonly at?: Place;
  readonly track?: { readonly points: readonly TrackPoint[]; readonly source: string };
}

/** How long the antenna stays at a place that was given alone, s: longer than anyone lets it run. */
const STAY_S = 365 * 86_400;
/** Speed on a track whose points have no times, m/s: a walk. */
const WALK_MPS = 5 / 3.6;

/**
 * The scenario of `run --at` and `run --track`: starts now, cold, under an open sky. A track without times is walked
 * at 5 km/h.
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
  checkOverrides(overrides);
  const profile = await resolveModule(overrides.module ?? DEFAULT_MODULE);
  const hasTimes = track?.points.some(({ timeS }) => timeS !== undefined) ?? false;
  const manner = { accelerationMps2: 0.5, yawRateDegps: 10, ...(hasTimes ? {} : { speedMps: WALK_MPS }) };
  const route: RouteStep[] = track
    ? [{ kind: 'track', ...track, ...manner }]
    : [{ kind: 'hold', durationS: STAY_S, ...(at ? { at } : {}) }];
  return {
    title: at ? `Standing at ${formatPlace(at)}` : `The track ${track?.source}`,
    seed: overrides.seed ?? 1,
    start: 'now',
    durationS: overrides.durationS ?? null,
    module: { ...profile, baud: overrides.baud ?? profile.baud },
    receiverStart: 'cold',
    errors: ALL_ERRORS,
    leapSeconds: PUBLISHED_LEAP_SECONDS,
    sky: { systems: ['gps'], almanac: null, navigation: null, shift: false, outOfService: [] },
    surroundings: OPEN_SKY,
    route,
    trajectory: buildTrajectory(route),
    timeline: [],
    live: [],
    file: null,
    source: { file: null, text: '', changes: overrides },
  };
}
