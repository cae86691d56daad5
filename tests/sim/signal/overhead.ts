import { EARTH_ROTATION_RADPS, RAD_PER_DEG } from '../../../src/base/constants.js';
import { ecefFromGeodetic } from '../../../src/base/frames.js';
import { RandomStreams } from '../../../src/base/random.js';
import type { ArrivingSignal } from '../../../src/sim/signal/arriving-signal.js';
import { TYPICAL_KLOBUCHAR } from '../../../src/sim/signal/atmosphere/klobuchar.js';
import { ALL_ERRORS } from '../../../src/sim/signal/error-switches.js';
import { type ErrorWorld, RangeErrors } from '../../../src/sim/signal/range-errors.js';
import { type Band, signalsOf } from '../../../src/sim/signal/signal-kind.js';
import type { Satellite } from '../../../src/sim/sky/orbit.js';
import { SatelliteView } from '../../../src/sim/sky/sky.js';
import { type SystemName, satelliteId } from '../../../src/sim/sky/system.js';

export const PLACE = { latitudeRad: 48 * RAD_PER_DEG, longitudeRad: 11 * RAD_PER_DEG, heightM: 500 };
/** Noon in the middle of Europe: a well developed ionosphere. */
export const NOON_S = 3 * 86_400 + 11 * 3600;
const RADIUS_M = 26.56e6;
const SPEED_MPS = 3874;

function satelliteOf(system: SystemName, number: number): Satellite {
  return {
    id: satelliteId(system, number),
    system,
    number,
    orbitClass: 'meo',
    frequencyNumber: system === 'glonass' ? 3 : 0,
    orbit: { stateAt: () => undefined },
    broadcast: {} as Satellite['broadcast'],
    statusAt: () => 'healthy',
    travelS: 0.07,
  };
}

/**
 * Puts a satellite at an azimuth and elevation of {@link PLACE}, on a circular orbit at right angles to the meridian.
 */
export function place(view: SatelliteView, azimuthDeg: number, elevationDeg: number): void {
  const { latitudeRad, longitudeRad, heightM } = PLACE;
  const antenna = ecefFromGeodetic({
    latitudeDeg: latitudeRad / RAD_PER_DEG,
    longitudeDeg: longitudeRad / RAD_PER_DEG,
    heightM,
  });
  const [azimuth, elevation] = [azimuthDeg * RAD_PER_DEG, elevationDeg * RAD_PER_DEG];
  const [sinLat, cosLat] = [Math.sin(latitudeRad), Math.cos(latitudeRad)];
  const [sinLon, cosLon] = [Math.sin(longitudeRad), Math.cos(longitudeRad)];
  const east = Math.cos(elevation) * Math.sin(azimuth);
  const north = Math.cos(elevation) * Math.cos(azimuth);
  const up = Math.sin(elevation);
  const outward = cosLat * up - sinLat * north;
  const sight = [cosLon * outward - sinLon * east, sinLon * outward + cosLon * east, sinLat * up + cosLat * north];
  const along = antenna.xM * sight[0]! + antenna.yM * sight[1]! + antenna.zM * sight[2]!;
  const square = antenna.xM ** 2 + antenna.yM ** 2 + antenna.zM ** 2;
  view.rangeM = -along + Math.sqrt(along ** 2 + RADIUS_M ** 2 - square);
  const { state } = view;
  state.xM = antenna.xM + view.rangeM * sight[0]!;
  state.yM = antenna.yM + view.rangeM * sight[1]!;
  state.zM = antenna.zM + view.rangeM * sight[2]!;
  const axis = Math.hypot(state.xM, state.yM);
  state.vxMps = (-SPEED_MPS * state.yM) / axis + EARTH_ROTATION_RADPS * state.yM;
  state.vyMps = (SPEED_MPS * state.xM) / axis - EARTH_ROTATION_RADPS * state.xM;
  state.vzMps = 0;
  view.azimuthDeg = azimuthDeg;
  view.elevationDeg = elevationDeg;
  view.sinElevation = up;
}

/** A satellite with its errors, and the signals that arrive from it. */
export interface Overhead {
  readonly view: SatelliteView;
  readonly errors: RangeErrors;
  readonly signals: ArrivingSignal[];
}

export interface OverheadOptions extends Partial<ErrorWorld> {
  readonly seed?: number;
  readonly number?: number;
  readonly bands?: readonly Band[];
}

/** A satellite of a system, with all errors unless `options` say otherwise; to be placed and stepped. */
export function overhead(system: SystemName, options: OverheadOptions = {}): Overhead {
  const { seed = 1, number = 1, bands = ['L1', 'L5'], ...world } = options;
  const satellite = satelliteOf(system, number);
  const kinds = signalsOf(system, bands);
  const view = new SatelliteView(satellite, 0);
  const errors = new RangeErrors(satellite, kinds, {
    streams: new RandomStreams(seed),
    interval: { lengthS: 1 },
    switches: ALL_ERRORS,
    klobuchar: TYPICAL_KLOBUCHAR,
    interSystemM: 0,
    ...world,
  });
  const signals = kinds.map((kind) => ({
    id: satellite.id,
    kind,
    azimuthDeg: 0,
    elevationDeg: 0,
    view,
    cn0DbHz: 45,
    multipathScale: 1,
    detourM: 0,
    falseRangeM: 0,
    falseRangeRateMps: 0,
  }));
  return { view, errors, signals };
}
