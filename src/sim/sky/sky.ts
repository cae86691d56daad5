import { DEG_PER_RAD, EARTH_ROTATION_RADPS, SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import type { Ecef } from '../../base/frames.js';
import type { OrbitState, Satellite } from './orbit.js';

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
  /** At transmission, in the Earth-fixed frame of the reception. */
  readonly state: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
  rangeM = 0;
  rangeRateMps = 0;
  /** Sine of the elevation, [-1, 1]. */
  sinElevation = -1;
  /** [-90, 90] deg; counts only while {@link isUp}. */
  elevationDeg = -90;
  /** [0, 360) deg; counts only while {@link isUp}. */
  azimuthDeg = 0;

  /** @param index place in {@link Sky.views} */
  constructor(
    readonly satellite: Satellite,
    readonly index: number,
  ) {}

  get isUp(): boolean {
    return this.sinElevation > 0;
  }
}

/** All satellites of a run, and where each stands as seen from the antenna. */
export class Sky {
  readonly views: readonly SatelliteView[];

  constructor(satellites: readonly Satellite[]) {
    const sorted = [...satellites].sort((a, b) => (a.id < b.id ? -1 : 1));
    this.views = sorted.map((satellite, index) => new SatelliteView(satellite, index));
  }

  /** Brings every view to the time of reception `sinceStartS`. */
  look(sinceStartS: number, antenna: AntennaFrame): void {
    const { latitudeRad, longitudeRad } = antenna;
    const sinLat = Math.sin(latitudeRad);
    const cosLat = Math.cos(latitudeRad);
    const sinLon = Math.sin(longitudeRad);
    const cosLon = Math.cos(longitudeRad);
    const { position, velocity } = antenna;
    for (const view of this.views) {
      const { state, satellite } = view;
      satellite.orbit.stateAt(sinceStartS - satellite.travelS, state);
      travel(state, satellite.travelS, position);
      const dx = state.xM - position.xM;
      const dy = state.yM - position.yM;
      const dz = state.zM - position.zM;
      const rangeM = Math.sqrt(dx * dx + dy * dy + dz * dz);
      const along = cosLon * dx + sinLon * dy;
      const sinElevation = (cosLat * along + sinLat * dz) / rangeM;
      view.rangeM = rangeM;
      view.sinElevation = sinElevation;
      if (sinElevation <= 0) continue;
      view.rangeRateMps =
        ((state.vxMps - velocity.xM) * dx + (state.vyMps - velocity.yM) * dy + (state.vzMps - velocity.zM) * dz) /
        rangeM;
      const azimuthDeg = Math.atan2(cosLon * dy - sinLon * dx, cosLat * dz - sinLat * along) * DEG_PER_RAD;
      view.elevationDeg = Math.asin(sinElevation) * DEG_PER_RAD;
      view.azimuthDeg = azimuthDeg < 0 ? azimuthDeg + 360 : azimuthDeg;
    }
  }
}

/**
 * Moves a state evaluated at a typical travel time to the true one, and turns it into the frame of the reception: the
 * Earth rotates while the signal travels (IS-GPS-200N, 20.3.3.4.3.4). The typical time is within 0.02 s: what the range
 * changes in it leaves 0.1 mm, and so does the acceleration.
 */
function travel(state: OrbitState, typicalS: number, receiver: Ecef): void {
  const dx = state.xM - receiver.xM;
  const dy = state.yM - receiver.yM;
  const dz = state.zM - receiver.zM;
  // The rotation lengthens the path by (w/c)(x_s y_r - y_s x_r): at most 40 m.
  const sagnacM = (EARTH_ROTATION_RADPS / SPEED_OF_LIGHT_MPS) * (state.xM * receiver.yM - state.yM * receiver.xM);
  const travelS = (Math.sqrt(dx * dx + dy * dy + dz * dz) + sagnacM) / SPEED_OF_LIGHT_MPS;
  const earlierS = typicalS - travelS;
  const angle = EARTH_ROTATION_RADPS * travelS;
  // Of an angle of 1e-5 rad the third-order terms are below 1e-8 m.
  const cos = 1 - (angle * angle) / 2;
  const x = state.xM + state.vxMps * earlierS;
  const y = state.yM + state.vyMps * earlierS;
  state.zM += state.vzMps * earlierS;
  state.xM = cos * x + angle * y;
  state.yM = cos * y - angle * x;
  const { vxMps, vyMps } = state;
  state.vxMps = cos * vxMps + angle * vyMps;
  state.vyMps = cos * vyMps - angle * vxMps;
}
