import { RAD_PER_DEG } from '../../../base/constants.js';
import type { GaussMarkov } from '../../../base/random.js';
import type { SatelliteView } from '../../sky/sky.js';
import { IONOSPHERE_S, IONOSPHERE_SHARE, TROPOSPHERE_S, TROPOSPHERE_ZENITH_M } from '../error-sizes.js';
import type { ErrorSwitches } from '../error-switches.js';
import type { ErrorPlace, ProcessOf } from '../satellite-errors.js';
import { type KlobucharCoefficients, klobucharObliquity, klobucharVerticalM } from './klobuchar.js';
import { mopsMapping } from './mops.js';
import { saastamoinenZenithM } from './saastamoinen.js';

/** Saastamoinen's delay counts as here below this elevation (2 deg), where it would grow beyond all bounds. */
const LEAST_SINE = 0.035;
/** The zenith delay of the troposphere is computed anew where it differs by half a millimetre, m and rad. */
const HEIGHT_STEP_M = 1;
const PLACE_STEP_RAD = 1e-4;

/** Delays of one satellite's signals in the atmosphere, and what a receiver with one band takes off for them, m. */
export class AtmosphereErrors {
  /** Of GPS L1 by the broadcast model: what is taken off; on a carrier f it is (f1 / f)^2 times it. */
  ionosphereModelM = 0;
  /** What the true delay of GPS L1 is beyond that, and its standard deviation. */
  ionosphereLeftM = 0;
  ionosphereSigmaM = 0;
  troposphereModelM = 0;
  troposphereLeftM = 0;
  troposphereSigmaM = 0;
  readonly #klobuchar: KlobucharCoefficients;
  readonly #ionosphere: GaussMarkov | null;
  readonly #troposphere: GaussMarkov | null;
  /** Delay straight down where the line of sight pierces the ionosphere: from what it was to what it now is. */
  #fromM = 0;
  #toM = 0;
  /** The slow processes from one refreshing to the next. */
  #ionosphereFrom = 0;
  #ionosphereTo = 0;
  #troposphereFrom = 0;
  #troposphereTo = 0;
  #zenithM = 0;
  #heightM = Number.NaN;
  #latitudeRad = Number.NaN;

  /** @param processOf the processes' samples are those of {@link refresh} */
  constructor(klobuchar: KlobucharCoefficients, processOf: ProcessOf, switches: ErrorSwitches) {
    this.#klobuchar = klobuchar;
    this.#ionosphere = switches.ionosphere ? processOf('ionosphere', IONOSPHERE_S) : null;
    this.#troposphere = switches.troposphere ? processOf('troposphere', TROPOSPHERE_S) : null;
  }

  /**
   * Computes the broadcast model anew, and takes the slow processes one sample further.
   * @param isFirst nothing is known of the time before: the model's value holds at once. Else it is gone over to, for a
   * carrier must not jump
   */
  refresh(view: SatelliteView, place: ErrorPlace, towS: number, isFirst: boolean): void {
    if (this.#ionosphere !== null) {
      const azimuthRad = view.azimuthDeg * RAD_PER_DEG;
      const elevationRad = view.elevationDeg * RAD_PER_DEG;
      const { latitudeRad, longitudeRad } = place;
      const before = this.#toM;
      this.#toM = klobucharVerticalM(this.#klobuchar, latitudeRad, longitudeRad, azimuthRad, elevationRad, towS);
      this.#fromM = isFirst ? this.#toM : before;
      this.#ionosphereFrom = this.#ionosphere.unit;
      this.#ionosphere.step();
      this.#ionosphereTo = this.#ionosphere.unit;
    }
    if (this.#troposphere === null) return;
    this.#troposphereFrom = this.#troposphere.unit;
    this.#troposphere.step();
    this.#troposphereTo = this.#troposphere.unit;
  }

  /** One epoch further. @param share of the way from one refreshing to the next, [0, 1] */
  step(view: SatelliteView, place: ErrorPlace, share: number): void {
    if (this.#ionosphere !== null) {
      const verticalM = this.#fromM + (this.#toM - this.#fromM) * share;
      const unit = this.#ionosphereFrom + (this.#ionosphereTo - this.#ionosphereFrom) * share;
      this.ionosphereModelM = verticalM * klobucharObliquity(view.elevationDeg * RAD_PER_DEG);
      this.ionosphereSigmaM = IONOSPHERE_SHARE * this.ionosphereModelM;
      this.ionosphereLeftM = this.ionosphereSigmaM * unit;
    }
    if (this.#troposphere !== null) {
      this.#lookUp(place);
      const { sinElevation } = view;
      const unit = this.#troposphereFrom + (this.#troposphereTo - this.#troposphereFrom) * share;
      this.troposphereModelM = this.#zenithM / Math.max(sinElevation, LEAST_SINE);
      this.troposphereSigmaM = TROPOSPHERE_ZENITH_M * mopsMapping(sinElevation);
      this.troposphereLeftM = this.troposphereSigmaM * unit;
    }
  }

  #lookUp({ latitudeRad, heightM }: ErrorPlace): void {
    const isNear =
      Math.abs(heightM - this.#heightM) < HEIGHT_STEP_M && Math.abs(latitudeRad - this.#latitudeRad) < PLACE_STEP_RAD;
    if (isNear) return;
    this.#zenithM = saastamoinenZenithM(latitudeRad, heightM);
    this.#heightM = heightM;
    this.#latitudeRad = latitudeRad;
  }
}
