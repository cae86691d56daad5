import { expandRoute } from './check-step.js';
import { PieceTrajectory } from './piece-trajectory.js';
import type { RouteStep } from './route.js';
import { RouteBuilder } from './route-builder.js';
import type { Trajectory } from './trajectory.js';

/**
 * The antenna's motion along a route: geodesic legs with rounded corners and bounded acceleration, recorded tracks as
 * recorded, holds at rest. Position, speed, course and climb are continuous; the course turns at rest too, by the yaw
 * rate, except before a recorded track, whose times are kept. A go starts at rest and ends at rest, but consecutive
 * ones (and tracks at a speed) are one path.
 * @param steps heights above mean sea level
 * @throws LodestubError `route.…` with the step in `path`, such as `route[2]` or `route[2].route[0]`
 */
export function buildTrajectory(steps: readonly RouteStep[]): Trajectory {
  const builder = new RouteBuilder();
  for (const placed of expandRoute(steps)) builder.add(placed);
  return new PieceTrajectory(builder.finish());
}
