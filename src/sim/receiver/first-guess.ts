import { EARTH_MEAN_RADIUS_M } from '../../base/constants.js';
import type { Ecef } from '../../base/frames.js';
import type { Measurement } from './measurement.js';

/** Places on the axes, one on each side of the Earth. */
export const SIDES: readonly Ecef[] = [1, -1].flatMap((sign) => {
  const m = sign * EARTH_MEAN_RADIUS_M;
  return [
    { xM: m, yM: 0, zM: 0 },
    { xM: 0, yM: m, zM: 0 },
    { xM: 0, yM: 0, zM: m },
  ];
});

/** A first guess from nothing: the Earth's surface below the satellites' mean direction. */
export function below(all: readonly Measurement[], count: number): Ecef {
  let [x, y, z] = [0, 0, 0];
  for (let i = 0; i < count; i++) {
    const { state } = all[i] as Measurement;
    x += state.xM;
    y += state.yM;
    z += state.zM;
  }
  const distance = Math.hypot(x, y, z);
  if (distance === 0) return { xM: EARTH_MEAN_RADIUS_M, yM: 0, zM: 0 };
  const scale = EARTH_MEAN_RADIUS_M / distance;
  return { xM: x * scale, yM: y * scale, zM: z * scale };
}
