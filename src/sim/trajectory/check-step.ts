import { LodestubError } from '../../base/error.js';
import type { Surroundings } from '../surroundings.js';
import type { Place, RouteStep } from './route.js';

/** More steps than this once every repeat is written out are a mistake. */
const MOST_STEPS = 100_000;

/** A step that moves or holds, with where it stands in the route. */
export interface PlacedStep {
  readonly step: Exclude<RouteStep, { kind: 'repeat' }>;
  /** As the scenario's path has it: `route[2].route[0]`. */
  readonly where: string;
}

/**
 * Writes out every repeat and checks each step by itself.
 * @throws LodestubError `route.empty`, `route.range`, `route.place`, `route.length`
 */
export function expandRoute(steps: readonly RouteStep[], where = 'route', around?: Surroundings): PlacedStep[] {
  if (steps.length === 0) {
    throw new LodestubError({
      code: 'route.empty',
      path: where,
      expected: 'at least one step',
      received: 'none',
      hint: 'Add one such as { hold: 10 min, at: [63.4305, 10.3951, 12 m] }.',
    });
  }
  return steps.flatMap((step, i) => {
    const at = `${where}[${i}]`;
    if (step.kind !== 'repeat') {
      checkStep(step, at);
      const isOwn = step.surroundings !== undefined || around === undefined;
      return [{ step: isOwn ? step : { ...step, surroundings: around }, where: at }];
    }
    if (!Number.isInteger(step.times) || step.times < 1) {
      throw outOfRange(at, 'a whole number of rounds, at least 1', String(step.times));
    }
    const round = expandRoute(step.steps, `${at}.route`, step.surroundings ?? around);
    if (round.length * step.times > MOST_STEPS) {
      throw new LodestubError({
        code: 'route.length',
        path: at,
        expected: `at most ${MOST_STEPS} steps once repeats are written out`,
        received: String(round.length * step.times),
        hint: 'Repeat fewer times.',
      });
    }
    return Array.from({ length: step.times }, () => round).flat();
  });
}

function checkStep(step: PlacedStep['step'], where: string): void {
  if (step.kind === 'hold') {
    requirePositive(step.durationS, where, 'a duration above 0 s', 's');
    if (step.at) checkPlace(step.at, where, 'its place');
    return;
  }
  if (step.kind === 'go' || step.speedMps !== undefined) {
    requirePositive(step.speedMps ?? Number.NaN, where, 'a speed above 0 m/s', 'm/s');
  }
  requirePositive(step.accelerationMps2, where, 'an acceleration above 0 m/s2', 'm/s2');
  requirePositive(step.yawRateDegps, where, 'a yaw rate above 0 deg/s', 'deg/s');
  if (step.kind === 'go') {
    const radiusM = step.turnRadiusM ?? 0;
    if (!(radiusM >= 0 && Number.isFinite(radiusM)))
      throw outOfRange(where, 'a turn radius of 0 m or more', `${radiusM} m`);
  }
  const places: readonly Place[] = step.kind === 'go' ? step.via : step.points;
  if (places.length === 0) throw outOfRange(where, 'at least one place', 'none');
  const ofWhat = step.kind === 'go' ? '' : ` of ${step.source}`;
  places.forEach((place, i) => {
    checkPlace(place, where, `point ${i + 1}${ofWhat}`);
  });
}

function checkPlace({ latitudeDeg, longitudeDeg, altitudeMslM }: Place, where: string, name: string): void {
  const isOnEarth = Math.abs(latitudeDeg) <= 90 && Math.abs(longitudeDeg) <= 180;
  if (isOnEarth && (altitudeMslM === undefined || Number.isFinite(altitudeMslM))) return;
  throw new LodestubError({
    code: 'route.place',
    path: where,
    summary: `${name} is not on the map`,
    expected: 'a latitude of -90 to 90 deg, a longitude of -180 to 180 deg',
    received: [latitudeDeg, longitudeDeg, altitudeMslM].filter((value) => value !== undefined).join(', '),
    hint: 'The latitude comes first.',
  });
}

function requirePositive(value: number, where: string, expected: string, unit: string): void {
  if (!(value > 0 && Number.isFinite(value))) throw outOfRange(where, expected, `${value} ${unit}`);
}

function outOfRange(where: string, expected: string, received: string): LodestubError {
  return new LodestubError({ code: 'route.range', path: where, expected, received });
}
