import { DEG_PER_RAD, RAD_PER_DEG } from '../../../base/constants.js';
import type { SatelliteView } from '../../sky/sky.js';
import { knifeEdgeLossDb } from './knife-edge.js';
import type { AntennaMotion, Obstruction, Passage } from './obstruction.js';

/** Measures of a street; heights are above the antenna, which is in the middle. */
export interface Street {
  readonly widthM: number;
  readonly leftHeightM: number;
  readonly rightHeightM: number;
  /** Deg true; null: the antenna's course. */
  readonly directionDeg: number | null;
}

/**
 * Loss of a reflection at a facade with its fading, dB: mean, deviation, and the least and greatest. It is 15 to 25 dB
 * weaker than the straight signal, since reflection also turns the polarisation about (common practice).
 */
const REFLECTION_DB = 20;
const REFLECTION_FADING_DB = 2.5;
const LEAST_REFLECTION_DB = 15;
const GREATEST_REFLECTION_DB = 25;

/** How much larger multipath errors are between facades, and of a signal that is a reflection (common practice). */
const STREET_SCALE = 3;
const REFLECTED_SCALE = 4;

/** A satellite within this of the street's direction (sine) has no facade before it. */
const ALONG = 1e-3;

/**
 * A long straight street between two facades. A satellite behind a facade arrives by diffraction close to its edge,
 * else by one reflection from the facade opposite: where that is high enough to stand in the way, and where the ray on
 * its way there comes in over the first one. The way round follows from the antenna's mirror image behind the
 * reflecting facade, which is a street's width away: width · cos(elevation) · sin(angle to the street).
 */
export class StreetCanyon implements Obstruction {
  readonly fading = { restS: 30, wayM: 1 };
  readonly #street: Street;
  #sinDirection = 0;
  #cosDirection = 1;

  constructor(street: Street) {
    this.#street = street;
  }

  begin({ courseDeg }: AntennaMotion): void {
    const directionRad = (this.#street.directionDeg ?? courseDeg) * RAD_PER_DEG;
    this.#sinDirection = Math.sin(directionRad);
    this.#cosDirection = Math.cos(directionRad);
  }

  pass({ azimuthDeg, elevationDeg, sinElevation }: SatelliteView, fade: number, out: Passage): void {
    out.multipathScale = STREET_SCALE;
    out.detourM = 0;
    out.lossDb = 0;
    const azimuthRad = azimuthDeg * RAD_PER_DEG;
    // Positive to the right of the street's direction.
    const across = Math.sin(azimuthRad) * this.#cosDirection - Math.cos(azimuthRad) * this.#sinDirection;
    const sine = Math.abs(across);
    if (sine < ALONG) return;
    const { widthM, leftHeightM, rightHeightM } = this.#street;
    const heightM = across > 0 ? rightHeightM : leftHeightM;
    const oppositeM = across > 0 ? leftHeightM : rightHeightM;
    /** To either facade in the satellite's direction, on the level. */
    const levelM = widthM / 2 / sine;
    out.lossDb = knifeEdgeLossDb(Math.atan2(heightM, levelM) * DEG_PER_RAD - elevationDeg);
    if (out.lossDb <= LEAST_REFLECTION_DB) return;
    const cosElevation = Math.sqrt(1 - sinElevation * sinElevation);
    /** Where the ray strikes the facade opposite; on its way there it was three times as high over the first one. */
    const strikesM = (levelM * sinElevation) / cosElevation;
    if (strikesM > oppositeM || 3 * strikesM < heightM) return;
    const reflectedDb = Math.min(
      GREATEST_REFLECTION_DB,
      Math.max(LEAST_REFLECTION_DB, REFLECTION_DB + REFLECTION_FADING_DB * fade),
    );
    if (reflectedDb >= out.lossDb) return;
    out.lossDb = reflectedDb;
    out.multipathScale = REFLECTED_SCALE;
    out.detourM = widthM * cosElevation * sine;
  }
}
