import type { SatelliteView } from '../../sky/sky.js';
import { knifeEdgeLossDb } from './knife-edge.js';
import type { Obstruction, Passage } from './obstruction.js';

const CIRCLE_DEG = 360;
/** Steps of the tabulated profile in a degree of azimuth. */
const PER_DEG = 4;

/** A horizon that rises and falls with the azimuth: hills, houses far off. */
export class HorizonProfile implements Obstruction {
  readonly fading = null;
  /** Elevation at every step of azimuth, and twice more: an azimuth a hair below 0 is rounded to 360. */
  readonly #elevationDeg: Float64Array;

  /** @param points azimuth and elevation, deg, in ascending azimuth within [0, 360]; at least one */
  constructor(points: ReadonlyArray<readonly [azimuthDeg: number, elevationDeg: number]>) {
    this.#elevationDeg = Float64Array.from({ length: CIRCLE_DEG * PER_DEG + 2 }, (_, step) =>
      horizonAtDeg(points, (step / PER_DEG) % CIRCLE_DEG),
    );
  }

  begin(): void {}

  pass({ azimuthDeg, elevationDeg }: SatelliteView, _fade: number, out: Passage): void {
    const at = azimuthDeg * PER_DEG;
    const step = Math.floor(at);
    const low = this.#elevationDeg[step] as number;
    const high = this.#elevationDeg[step + 1] as number;
    out.lossDb = knifeEdgeLossDb(low + (at - step) * (high - low) - elevationDeg);
    out.multipathScale = 1;
    out.detourM = 0;
  }
}

/** Elevation of the horizon, straight between the points and on round the circle from the last to the first, deg. */
function horizonAtDeg(
  points: ReadonlyArray<readonly [azimuthDeg: number, elevationDeg: number]>,
  azimuthDeg: number,
): number {
  const next = points.findIndex(([azimuth]) => azimuth >= azimuthDeg);
  const [azimuthAfterDeg, afterDeg] = points[Math.max(0, next)] as readonly [number, number];
  const [azimuthBeforeDeg, beforeDeg] = points.at(next - 1 < 0 ? -1 : next - 1) as readonly [number, number];
  const turn = (deg: number) => (deg + CIRCLE_DEG) % CIRCLE_DEG;
  const gapDeg = turn(azimuthAfterDeg - azimuthBeforeDeg);
  if (gapDeg === 0) return afterDeg;
  return afterDeg - (turn(azimuthAfterDeg - azimuthDeg) / gapDeg) * (afterDeg - beforeDeg);
}
