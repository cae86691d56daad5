import { EARTH_ROTATION_RADPS, RAD_PER_DEG } from '../../base/constants.js';
import type { GaussMarkov } from '../../base/random.js';
import type { SatelliteView } from '../sky/sky.js';
import type { SystemName } from '../sky/system.js';
import { SATELLITE_S, SATELLITE_SIZES, type SatelliteSizes } from './error-sizes.js';
import type { ErrorSwitches } from './error-switches.js';

/** A process of this satellite by its effect's name. */
export type ProcessOf = (effect: string, correlationS: number) => GaussMarkov;

/** Where the antenna is. */
export interface ErrorPlace {
  readonly latitudeRad: number;
  readonly longitudeRad: number;
  /** Above the sea. */
  readonly heightM: number;
}

/** What a satellite's clock and orbit depart from what it broadcasts, along the line of sight. */
export class SatelliteErrors {
  clockM = 0;
  orbitM = 0;
  /** Of both together, m2. */
  variance = 0;
  readonly #sizes: SatelliteSizes;
  readonly #clock: GaussMarkov | null;
  readonly #radial: GaussMarkov | null;
  readonly #along: GaussMarkov | null;
  readonly #cross: GaussMarkov | null;
  /** Each direction's share in the line of sight, times its standard deviation, m. */
  #radialM = 0;
  #alongM = 0;
  #crossM = 0;
  /** From one refreshing to the next, m. */
  #clockFromM = 0;
  #clockToM = 0;
  #orbitFromM = 0;
  #orbitToM = 0;

  /** @param processOf the processes' samples are those of {@link refresh} */
  constructor(system: SystemName, processOf: ProcessOf, { satelliteClock, orbit }: ErrorSwitches) {
    this.#sizes = SATELLITE_SIZES[system];
    this.#clock = satelliteClock ? processOf('satellite-clock', SATELLITE_S) : null;
    this.#radial = orbit ? processOf('orbit-radial', SATELLITE_S) : null;
    this.#along = orbit ? processOf('orbit-along', SATELLITE_S) : null;
    this.#cross = orbit ? processOf('orbit-cross', SATELLITE_S) : null;
  }

  /** One epoch further. @param share of the way from one refreshing to the next, [0, 1] */
  step(share: number): void {
    this.clockM = this.#clockFromM + (this.#clockToM - this.#clockFromM) * share;
    this.orbitM = this.#orbitFromM + (this.#orbitToM - this.#orbitFromM) * share;
  }

  /** One sample of the slow processes further. @param isFirst nothing is known of the sample before */
  refresh(view: SatelliteView, place: ErrorPlace, isFirst: boolean): void {
    if (isFirst) {
      this.#aim(view, place);
      this.#sample();
    }
    this.#clockFromM = this.#clockToM;
    this.#orbitFromM = this.#orbitToM;
    this.#clock?.step();
    this.#radial?.step();
    this.#along?.step();
    this.#cross?.step();
    if (!isFirst) this.#aim(view, place);
    this.#sample();
  }

  #sample(): void {
    if (this.#clock !== null) this.#clockToM = this.#sizes.clockM * this.#clock.unit;
    if (this.#radial === null || this.#along === null || this.#cross === null) return;
    this.#orbitToM =
      this.#radialM * this.#radial.unit + this.#alongM * this.#along.unit + this.#crossM * this.#cross.unit;
  }

  /** Finds the line of sight in the satellite's directions; it turns slowly. */
  #aim({ state, azimuthDeg, elevationDeg }: SatelliteView, { latitudeRad, longitudeRad }: ErrorPlace): void {
    const { clockM, radialM, alongM, crossM } = this.#sizes;
    if (this.#radial !== null) {
      const [azimuthRad, elevationRad] = [azimuthDeg * RAD_PER_DEG, elevationDeg * RAD_PER_DEG];
      const [sinLat, cosLat] = [Math.sin(latitudeRad), Math.cos(latitudeRad)];
      const [sinLon, cosLon] = [Math.sin(longitudeRad), Math.cos(longitudeRad)];
      const [up, level] = [Math.sin(elevationRad), Math.cos(elevationRad)];
      const [east, north] = [level * Math.sin(azimuthRad), level * Math.cos(azimuthRad)];
      const outward = cosLat * up - sinLat * north;
      // From the antenna to the satellite.
      const lx = cosLon * outward - sinLon * east;
      const ly = sinLon * outward + cosLon * east;
      const lz = sinLat * up + cosLat * north;
      const { xM, yM, zM } = state;
      // The track is that of the velocity without the Earth's rotation: a geostationary satellite has one too.
      const vx = state.vxMps - EARTH_ROTATION_RADPS * yM;
      const vy = state.vyMps + EARTH_ROTATION_RADPS * xM;
      const vz = state.vzMps;
      const cx = yM * vz - zM * vy;
      const cy = zM * vx - xM * vz;
      const cz = xM * vy - yM * vx;
      const ax = cy * zM - cz * yM;
      const ay = cz * xM - cx * zM;
      const az = cx * yM - cy * xM;
      const radiusM = Math.sqrt(xM * xM + yM * yM + zM * zM);
      const momentum = Math.sqrt(cx * cx + cy * cy + cz * cz);
      this.#radialM = ((lx * xM + ly * yM + lz * zM) / radiusM) * radialM;
      this.#alongM = ((lx * ax + ly * ay + lz * az) / (momentum * radiusM)) * alongM;
      this.#crossM = ((lx * cx + ly * cy + lz * cz) / momentum) * crossM;
    }
    const clock = this.#clock === null ? 0 : clockM;
    this.variance =
      clock * clock + this.#radialM * this.#radialM + this.#alongM * this.#alongM + this.#crossM * this.#crossM;
  }
}
