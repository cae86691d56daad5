import type { ArrivingSignal } from '../../../src/sim/signal/arriving-signal.js';
import { klobucharVerticalM, TYPICAL_KLOBUCHAR } from '../../../src/sim/signal/atmosphere/klobuchar.js';
import type { AntennaFrame } from '../../../src/sim/sky/sky.js';

/**
 * Error of GPS satellites, standard deviations, m: median of broadcast less precise orbits of 2020-06-25 (1.31 m in
 * three dimensions), radial to along to across as 0.2 to 1 to 0.5, clock 0.5 m (common practice).
 */
const GPS = { clockM: 0.5, alongM: 1.31 / 0.894, radial: 0.2, across: 0.5 };
/** Of the delay by the broadcast model: IS-GPS-200N, 20.3.3.5.2.5, leaves at most half. */
const IONOSPHERE_SHARE = 0.45;
/** Chip of GPS L1 C/A, m; code loop of 0.1 Hz, half a chip apart, 20 ms (common practice). */
const CHIP_M = 299_792_458 / 1.023e6;
const LOOP_HZ = 0.1;
const SPACING = 0.5;
const INTEGRATION_S = 0.02;
const EARTH_RADPS = 7.2921151467e-5;

type Vector = readonly [number, number, number];

function cross([ax, ay, az]: Vector, [bx, by, bz]: Vector): Vector {
  return [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx];
}

function unit([x, y, z]: Vector): Vector {
  const length = Math.hypot(x, y, z);
  return [x / length, y / length, z / length];
}

function dot([ax, ay, az]: Vector, [bx, by, bz]: Vector): number {
  return ax * bx + ay * by + az * bz;
}

/** One range of a receiver with one band: direction in east, north, up, and what its error is made of, m2. */
export interface PublishedRange {
  readonly id: string;
  readonly direction: Vector;
  readonly varianceM2: number;
  /** Variances of what changes from second to second: noise of the code loop, and reflections. */
  readonly noiseM2: number;
  readonly multipathM2: number;
}

/**
 * A GPS L1 range from its published parts: RTCA DO-229 (troposphere, multipath), IS-GPS-200N (ionosphere), broadcast
 * orbits as measured, code noise by C/N0 (E. D. Kaplan, C. J. Hegarty, Understanding GPS; from memory).
 * @param towS GPS time of week, s
 */
export function publishedRange(
  { id, view, cn0DbHz }: ArrivingSignal,
  antenna: AntennaFrame,
  towS: number,
): PublishedRange {
  const { latitudeRad, longitudeRad, position } = antenna;
  const { xM, yM, zM, vxMps, vyMps, vzMps } = view.state;
  const [azimuthRad, elevationRad] = [(view.azimuthDeg * Math.PI) / 180, (view.elevationDeg * Math.PI) / 180];
  const sine = Math.sin(elevationRad);
  const line = unit([xM - position.xM, yM - position.yM, zM - position.zM]);
  const radial = unit([xM, yM, zM]);
  const across = unit(cross(radial, [vxMps - EARTH_RADPS * yM, vyMps + EARTH_RADPS * xM, vzMps]));
  const along = cross(across, radial);
  const orbitM2 =
    GPS.alongM ** 2 *
    (dot(line, along) ** 2 + (GPS.radial * dot(line, radial)) ** 2 + (GPS.across * dot(line, across)) ** 2);
  const obliquity = 1 + 16 * (0.53 - elevationRad / Math.PI) ** 3;
  const zenithM = klobucharVerticalM(TYPICAL_KLOBUCHAR, latitudeRad, longitudeRad, azimuthRad, elevationRad, towS);
  const ionosphereM = IONOSPHERE_SHARE * zenithM * obliquity;
  const troposphereM = (0.12 * 1.001) / Math.sqrt(0.002001 + sine * sine);
  const multipathM = 0.13 + 0.53 * Math.exp(-view.elevationDeg / 10);
  const cn0 = 10 ** (cn0DbHz / 10);
  const noiseM2 = CHIP_M ** 2 * ((LOOP_HZ * SPACING) / (2 * cn0)) * (1 + 2 / (INTEGRATION_S * cn0 * (2 - SPACING)));
  return {
    id,
    direction: [Math.cos(elevationRad) * Math.sin(azimuthRad), Math.cos(elevationRad) * Math.cos(azimuthRad), sine],
    varianceM2: GPS.clockM ** 2 + orbitM2 + ionosphereM ** 2 + troposphereM ** 2 + multipathM ** 2 + noiseM2,
    noiseM2,
    multipathM2: multipathM ** 2,
  };
}
