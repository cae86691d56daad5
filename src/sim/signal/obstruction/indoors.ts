import type { Stream } from '../../../base/random.js';
import type { SatelliteView } from '../../sky/sky.js';
import type { Obstruction, Passage } from './obstruction.js';

/** Windows and doors: the wall's loss varies with the azimuth, by this in each of so many sectors (common practice). */
const SECTORS = 12;
const SECTOR_DEG = 360 / SECTORS;
const SECTOR_DB = 5;

/** Fading among the room's reflections, dB, and how much larger multipath errors are there (common practice). */
const FADING_DB = 3;
const INDOORS_SCALE = 6;

/**
 * In a building: the roof's loss straight up, the wall's at the horizon, between them by the squares of the sine and
 * cosine of the elevation (common practice). Windows are where the seed puts them, the same for the whole run.
 */
export class Indoors implements Obstruction {
  readonly fading = { restS: 60, wayM: 0.5 };
  readonly #sectorsDb: Float64Array;
  readonly #roofDb: number;
  readonly #wallDb: number;

  constructor(roofDb: number, wallDb: number, stream: Stream) {
    this.#roofDb = roofDb;
    this.#wallDb = wallDb;
    this.#sectorsDb = Float64Array.from({ length: SECTORS }, () => SECTOR_DB * stream.normal());
  }

  begin(): void {}

  pass({ azimuthDeg, sinElevation }: SatelliteView, fade: number, out: Passage): void {
    const up = sinElevation * sinElevation;
    const at = azimuthDeg / SECTOR_DEG;
    const sector = Math.floor(at);
    const here = this.#sectorsDb[sector % SECTORS] as number;
    const next = this.#sectorsDb[(sector + 1) % SECTORS] as number;
    const wallDb = Math.max(0, this.#wallDb + here + (at - sector) * (next - here));
    out.lossDb = Math.max(0, this.#roofDb * up + wallDb * (1 - up) + FADING_DB * fade);
    out.multipathScale = INDOORS_SCALE;
    out.detourM = 0;
  }
}
