import { DEG_PER_RAD, RAD_PER_DEG, WGS84_FLATTENING, WGS84_SEMI_MAJOR_M } from './constants.js';

/** Earth-centred, Earth-fixed position (WGS-84), m. */
export interface Ecef {
  readonly xM: number;
  readonly yM: number;
  readonly zM: number;
}

/** Vector in the local tangent plane: metres, or metres per second where a velocity is meant. */
export interface Enu {
  readonly eastM: number;
  readonly northM: number;
  readonly upM: number;
}

/** Geodetic position on WGS-84: latitude [-90, 90] deg, longitude [-180, 180] deg, height above the ellipsoid, m. */
export interface Geodetic {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  readonly heightM: number;
}

const E2 = WGS84_FLATTENING * (2 - WGS84_FLATTENING);
const SEMI_MINOR_M = WGS84_SEMI_MAJOR_M * (1 - WGS84_FLATTENING);
const EP2 = E2 / (1 - E2);

/** Geodetic to ECEF (NGA.STND.0036, equation 4-14). */
export function ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM }: Geodetic): Ecef {
  const latRad = latitudeDeg * RAD_PER_DEG;
  const lonRad = longitudeDeg * RAD_PER_DEG;
  const sinLat = Math.sin(latRad);
  const cosLat = Math.cos(latRad);
  const primeVerticalM = WGS84_SEMI_MAJOR_M / Math.sqrt(1 - E2 * sinLat * sinLat);
  const horizontalM = (primeVerticalM + heightM) * cosLat;
  return {
    xM: horizontalM * Math.cos(lonRad),
    yM: horizontalM * Math.sin(lonRad),
    zM: (primeVerticalM * (1 - E2) + heightM) * sinLat,
  };
}

/**
 * ECEF to geodetic: B. R. Bowring, "Transformation from spatial to geographical coordinates", Survey Review 23 (1976),
 * two passes in the tangent of the parametric latitude: below 1 nm for heights from -10 km to satellites'.
 */
export function geodeticFromEcef({ xM, yM, zM }: Ecef): Geodetic {
  const p = Math.sqrt(xM * xM + yM * yM);
  const longitudeDeg = Math.atan2(yM, xM) * DEG_PER_RAD;
  if (p < 1e-9) return { latitudeDeg: zM < 0 ? -90 : 90, longitudeDeg, heightM: Math.abs(zM) - SEMI_MINOR_M };
  const r = Math.sqrt(p * p + zM * zM);
  let tanBeta = (zM / p) * (1 - WGS84_FLATTENING) * (1 + (EP2 * SEMI_MINOR_M) / r);
  let tanLat = 0;
  for (let pass = 0; pass < 2; pass++) {
    const cosBeta = 1 / Math.sqrt(1 + tanBeta * tanBeta);
    const sinBeta = tanBeta * cosBeta;
    tanLat =
      (zM + EP2 * SEMI_MINOR_M * sinBeta * sinBeta * sinBeta) /
      (p - E2 * WGS84_SEMI_MAJOR_M * cosBeta * cosBeta * cosBeta);
    tanBeta = (1 - WGS84_FLATTENING) * tanLat;
  }
  const cosLat = 1 / Math.sqrt(1 + tanLat * tanLat);
  const sinLat = tanLat * cosLat;
  const heightM = p * cosLat + zM * sinLat - WGS84_SEMI_MAJOR_M * Math.sqrt(1 - E2 * sinLat * sinLat);
  return { latitudeDeg: Math.atan(tanLat) * DEG_PER_RAD, longitudeDeg, heightM };
}

/** Rotation between ECEF and the local tangent plane at a place (east, north, up rows). */
export class LocalFrame {
  readonly #sinLat: number;
  readonly #cosLat: number;
  readonly #sinLon: number;
  readonly #cosLon: number;

  constructor(latitudeDeg: number, longitudeDeg: number) {
    const latRad = latitudeDeg * RAD_PER_DEG;
    const lonRad = longitudeDeg * RAD_PER_DEG;
    this.#sinLat = Math.sin(latRad);
    this.#cosLat = Math.cos(latRad);
    this.#sinLon = Math.sin(lonRad);
    this.#cosLon = Math.cos(lonRad);
  }

  /** An ECEF difference or velocity, in the local frame. */
  toEnu(xM: number, yM: number, zM: number): Enu {
    const along = this.#cosLon * xM + this.#sinLon * yM;
    return {
      eastM: this.#cosLon * yM - this.#sinLon * xM,
      northM: this.#cosLat * zM - this.#sinLat * along,
      upM: this.#cosLat * along + this.#sinLat * zM,
    };
  }

  /** The inverse of {@link toEnu}. */
  toEcef({ eastM, northM, upM }: Enu): Ecef {
    const along = this.#cosLat * upM - this.#sinLat * northM;
    return {
      xM: this.#cosLon * along - this.#sinLon * eastM,
      yM: this.#sinLon * along + this.#cosLon * eastM,
      zM: this.#cosLat * northM + this.#sinLat * upM,
    };
  }
}
