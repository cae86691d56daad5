import { DEG_PER_RAD, EARTH_ROTATION_RADPS, GM_EARTH_M3PS2, SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import type { Ecef } from '../../base/frames.js';
import type { OrbitState, Satellite } from './orbit.js';
import { SYSTEM_NAMES } from './system.js';

/** Where the antenna is, for look angles: ECEF position and velocity, and the local directions. */
export interface AntennaFrame {
  readonly position: Ecef;
  /** ECEF velocity, m/s. */
  readonly velocity: Ecef;
  readonly latitudeRad: number;
  readonly longitudeRad: number;
}

/** One satellite as seen from the antenna. The sky fills the same objects at every epoch. */
export class SatelliteView {
  /**
   * At transmission, in the Earth-fixed frame of the reception. The velocity is that by which this place moves from one
   * reception to the next: light that is under way for longer and longer slows it by parts in a million.
   */
  readonly state: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
  rangeM = 0;
  rangeRateMps = 0;
  /** Sine of the elevation, [-1, 1]. */
  sinElevation = -1;
  /** [-90, 90] deg; counts only while {@link isUp}. */
  elevationDeg = -90;
  /** [0, 360) deg; counts only while {@link isUp}. */
  azimuthDeg = 0;
  /** False: it says that it must not be used. */
  isHealthy = true;
  /** False: it sends nothing. */
  #sends = true;
  /** Below the horizon, and it cannot rise before then, s. */
  #hiddenUntilS = -Infinity;
  #statusUntilS = -Infinity;

  /** @param index place in {@link Sky.views} */
  constructor(
    readonly satellite: Satellite,
    readonly index: number,
  ) {}

  /** Above the horizon, and it sends. */
  get isUp(): boolean {
    return this.sinElevation > 0;
  }

  /** Forgets what was found out for other times. */
  restart(): void {
    this.#hiddenUntilS = -Infinity;
    this.#statusUntilS = -Infinity;
  }

  /** Brings the view to a time of reception. */
  look(sinceStartS: number, antenna: AntennaFrame, local: LocalDirections): void {
    if (sinceStartS < this.#hiddenUntilS) return;
    const { state, satellite } = this;
    if (sinceStartS >= this.#statusUntilS) this.#askStatus(sinceStartS);
    if (!this.#sends) {
      this.sinElevation = -1;
      return;
    }
    const { position, velocity } = antenna;
    const { sinLat, cosLat, sinLon, cosLon } = local;
    satellite.orbit.stateAt(sinceStartS - satellite.travelS, state);
    travel(state, satellite.travelS, antenna);
    const dx = state.xM - position.xM;
    const dy = state.yM - position.yM;
    const dz = state.zM - position.zM;
    const rangeM = Math.sqrt(dx * dx + dy * dy + dz * dz);
    const along = cosLon * dx + sinLon * dy;
    // Rounding may leave more than 1 right overhead.
    const sinElevation = Math.min(1, (cosLat * along + sinLat * dz) / rangeM);
    this.rangeM = rangeM;
    this.sinElevation = sinElevation;
    if (sinElevation <= 0) {
      this.#hiddenUntilS = sinceStartS - Math.asin(sinElevation) / FASTEST_RISE_RADPS - 1;
      return;
    }
    this.rangeRateMps =
      ((state.vxMps - velocity.xM) * dx + (state.vyMps - velocity.yM) * dy + (state.vzMps - velocity.zM) * dz) / rangeM;
    const azimuthDeg = Math.atan2(cosLon * dy - sinLon * dx, cosLat * dz - sinLat * along) * DEG_PER_RAD;
    this.elevationDeg = Math.asin(sinElevation) * DEG_PER_RAD;
    this.azimuthDeg = azimuthDeg < 0 ? azimuthDeg + 360 : azimuthDeg;
  }

  #askStatus(sinceStartS: number): void {
    const status = this.satellite.statusAt(sinceStartS);
    this.#sends = status !== 'absent';
    this.isHealthy = status === 'healthy';
    this.#statusUntilS = (Math.floor(sinceStartS / STATUS_S) + 1) * STATUS_S;
  }
}

/** A satellite is asked so often whether it sends and is healthy, s. */
const STATUS_S = 30;

/** An antenna that moves faster than this has leapt, m/s: routes go at 1000 m/s at most, recorded tracks may jump. */
const LEAP_MPS = 2000;
/** Rounding of a place and its time of that speed, m. */
const LEAP_M = 1;

/**
 * No satellite's elevation grows faster, rad/s: the fastest orbit's turn seen from nearby (0.01 deg/s), and an antenna
 * at {@link LEAP_MPS}, which tilts its horizon by 0.02 deg/s; with a margin.
 */
const FASTEST_RISE_RADPS = 0.04 / DEG_PER_RAD;

/** Sines and cosines of the antenna's latitude and longitude. */
interface LocalDirections {
  sinLat: number;
  cosLat: number;
  sinLon: number;
  cosLon: number;
}

/** All satellites of a run, and where each stands as seen from the antenna. */
export class Sky {
  /** By system, and by number within it. */
  readonly views: readonly SatelliteView[];
  readonly #local: LocalDirections = { sinLat: 0, cosLat: 1, sinLon: 0, cosLon: 1 };
  #lookedAtS = -Infinity;
  #lookedFrom: Ecef = { xM: 0, yM: 0, zM: 0 };

  constructor(satellites: readonly Satellite[]) {
    const rank = ({ system, number }: Satellite) => SYSTEM_NAMES.indexOf(system) * 1000 + number;
    const sorted = [...satellites].sort((a, b) => rank(a) - rank(b));
    this.views = sorted.map((satellite, index) => new SatelliteView(satellite, index));
  }

  /**
   * Brings every view to the time of reception `sinceStartS`. Fastest in ascending order: a satellite that is far below
   * the horizon is left alone until it could have risen, unless the antenna leaps.
   */
  look(sinceStartS: number, antenna: AntennaFrame): void {
    const { latitudeRad, longitudeRad } = antenna;
    const local = this.#local;
    local.sinLat = Math.sin(latitudeRad);
    local.cosLat = Math.cos(latitudeRad);
    local.sinLon = Math.sin(longitudeRad);
    local.cosLon = Math.cos(longitudeRad);
    if (this.#isLeap(sinceStartS, antenna.position)) for (const view of this.views) view.restart();
    this.#lookedAtS = sinceStartS;
    this.#lookedFrom = antenna.position;
    for (const view of this.views) view.look(sinceStartS, antenna, local);
  }

  /** Back in time, or farther than an antenna moves. */
  #isLeap(sinceStartS: number, { xM, yM, zM }: Ecef): boolean {
    const sinceS = sinceStartS - this.#lookedAtS;
    if (sinceS < 0) return true;
    const from = this.#lookedFrom;
    const mostM = LEAP_M + LEAP_MPS * sinceS;
    const [dx, dy, dz] = [xM - from.xM, yM - from.yM, zM - from.zM];
    return dx * dx + dy * dy + dz * dz > mostM * mostM;
  }
}

/**
 * Moves a state evaluated at a typical travel time to the true one, and turns it into the frame of the reception: the
 * Earth rotates while the signal travels (IS-GPS-200N, 20.3.3.4.3.4). The typical time is within 0.03 s: two-body
 * motion over it leaves some micrometres. The velocity becomes that of the place in the frame of the reception, as
 * {@link SatelliteView.state} says.
 */
function travel(state: OrbitState, typicalS: number, { position: receiver, velocity }: AntennaFrame): void {
  const { xM, yM, zM, vxMps, vyMps, vzMps } = state;
  const dx = xM - receiver.xM;
  const dy = yM - receiver.yM;
  const dz = zM - receiver.zM;
  const distanceM = Math.sqrt(dx * dx + dy * dy + dz * dz);
  // The rotation lengthens the path by (w/c)(x_s y_r - y_s x_r): at most 40 m.
  const sagnacM = (EARTH_ROTATION_RADPS / SPEED_OF_LIGHT_MPS) * (xM * receiver.yM - yM * receiver.xM);
  // The satellite's share of the range rate, over the speed of light: so far the place it is moved to changes the time.
  const per = 1 / (distanceM * SPEED_OF_LIGHT_MPS);
  const beta = (vxMps * dx + vyMps * dy + vzMps * dz) * per;
  const earlierS = (typicalS - (distanceM + sagnacM) * (1 / SPEED_OF_LIGHT_MPS)) * (1 - beta);
  const travelS = typicalS - earlierS;
  // Two-body acceleration in the Earth-fixed frame.
  const radius2 = xM * xM + yM * yM + zM * zM;
  const central = -GM_EARTH_M3PS2 / (radius2 * Math.sqrt(radius2));
  const level = central + EARTH_ROTATION_RADPS * EARTH_ROTATION_RADPS;
  const ax = level * xM + 2 * EARTH_ROTATION_RADPS * vyMps;
  const ay = level * yM - 2 * EARTH_ROTATION_RADPS * vxMps;
  const az = central * zM;
  const x = xM + earlierS * (vxMps + (earlierS / 2) * ax);
  const y = yM + earlierS * (vyMps + (earlierS / 2) * ay);
  const vx = vxMps + earlierS * ax;
  const vy = vyMps + earlierS * ay;
  const vz = vzMps + earlierS * az;
  const angle = EARTH_ROTATION_RADPS * travelS;
  // Of an angle of 1e-5 rad the third-order terms are below 1e-8 m.
  const cos = 1 - (angle * angle) / 2;
  state.xM = cos * x + angle * y;
  state.yM = cos * y - angle * x;
  state.zM = zM + earlierS * (vzMps + (earlierS / 2) * az);
  // Of a second between two receptions so much is missing between the transmissions, and the Earth turns so much less.
  const slower = beta - (velocity.xM * dx + velocity.yM * dy + velocity.zM * dz) * per;
  const turn = EARTH_ROTATION_RADPS * slower;
  state.vxMps = (1 - slower) * (cos * vx + angle * vy) + turn * state.yM;
  state.vyMps = (1 - slower) * (cos * vy - angle * vx) - turn * state.xM;
  state.vzMps = (1 - slower) * vz;
}
