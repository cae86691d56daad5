import { type GpsTime, secondsBetween } from '../../base/time.js';
import type { KeplerRecord } from './broadcast-record.js';
import {
  earthRotationOf,
  eccentricAnomalyRad,
  GEO_TILT_RAD,
  isTiltedGeo,
  meanMotionRadps,
  ownTowS,
} from './kepler-record.js';
import type { Orbit, OrbitState } from './orbit.js';

const COS_TILT = Math.cos(GEO_TILT_RAD);
const SIN_TILT = Math.sin(GEO_TILT_RAD);

/**
 * The orbit that a broadcast record describes, with all its corrections; velocity is the exact time derivative.
 * Source: IS-GPS-200N, table 20-IV; Galileo OS SIS ICD 2.1, 5.1.1; BeiDou B1I 3.0, 5.2.4.12, with the algorithm
 * for its geostationary satellites.
 */
export class KeplerOrbit implements Orbit {
  readonly #r: KeplerRecord;
  /** Reference time after the start, s; mostly negative. */
  readonly #referenceS: number;
  readonly #motionRadps: number;
  readonly #semiMajorM: number;
  readonly #root: number;
  readonly #sinPerigee: number;
  readonly #cosPerigee: number;
  readonly #isTiltedGeo: boolean;
  /** Longitude of the node at the reference time, and its rate in the frame that the elements are given in. */
  readonly #nodeRad: number;
  readonly #nodeRateRadps: number;
  readonly #earthRadps: number;

  /** @param start what times are counted from */
  constructor(record: KeplerRecord, start: GpsTime) {
    this.#r = record;
    this.#referenceS = secondsBetween(record.toe, start);
    this.#motionRadps = meanMotionRadps(record);
    this.#semiMajorM = record.rootSemiMajor ** 2;
    this.#root = Math.sqrt(1 - record.eccentricity ** 2);
    this.#sinPerigee = Math.sin(record.perigeeRad);
    this.#cosPerigee = Math.cos(record.perigeeRad);
    this.#isTiltedGeo = isTiltedGeo(record);
    this.#earthRadps = earthRotationOf(record.system);
    this.#nodeRad = record.nodeRad - this.#earthRadps * ownTowS(record.system, record.toe);
    this.#nodeRateRadps = record.nodeRateRadps - (this.#isTiltedGeo ? 0 : this.#earthRadps);
  }

  stateAt(sinceStartS: number, out: OrbitState): void {
    const r = this.#r;
    const e = r.eccentricity;
    const tS = sinceStartS - this.#referenceS;
    const meanAnomaly = (r.meanAnomalyRad + this.#motionRadps * tS) % (2 * Math.PI);
    const eccentricAnomaly = eccentricAnomalyRad(meanAnomaly, e);
    const sinE = Math.sin(eccentricAnomaly);
    const cosE = Math.cos(eccentricAnomaly);
    const denominator = 1 - e * cosE;
    const anomalyRate = this.#motionRadps / denominator;

    // Argument of latitude before its correction.
    const cosNu = (cosE - e) / denominator;
    const sinNu = (this.#root * sinE) / denominator;
    const cosPhi = cosNu * this.#cosPerigee - sinNu * this.#sinPerigee;
    const sinPhi = sinNu * this.#cosPerigee + cosNu * this.#sinPerigee;
    const phiRate = (this.#root * anomalyRate) / denominator;
    const cos2 = cosPhi * cosPhi - sinPhi * sinPhi;
    const sin2 = 2 * sinPhi * cosPhi;
    const rate2 = 2 * phiRate;

    const latitudeOff = r.cusRad * sin2 + r.cucRad * cos2;
    const latitudeRate = phiRate + rate2 * (r.cusRad * cos2 - r.cucRad * sin2);
    const radiusM = this.#semiMajorM * denominator + r.crsM * sin2 + r.crcM * cos2;
    const radiusRate = this.#semiMajorM * e * sinE * anomalyRate + rate2 * (r.crsM * cos2 - r.crcM * sin2);
    const inclination = r.inclinationRad + r.inclinationRateRadps * tS + r.cisRad * sin2 + r.cicRad * cos2;
    const inclinationRate = r.inclinationRateRadps + rate2 * (r.cisRad * cos2 - r.cicRad * sin2);

    const cosOff = Math.cos(latitudeOff);
    const sinOff = Math.sin(latitudeOff);
    const cosU = cosPhi * cosOff - sinPhi * sinOff;
    const sinU = sinPhi * cosOff + cosPhi * sinOff;
    const crossRate = radiusM * latitudeRate;
    const planeX = radiusM * cosU;
    const planeY = radiusM * sinU;
    const planeVx = radiusRate * cosU - crossRate * sinU;
    const planeVy = radiusRate * sinU + crossRate * cosU;

    const cosIncl = Math.cos(inclination);
    const sinIncl = Math.sin(inclination);
    const tiltedY = planeY * cosIncl;
    const z = planeY * sinIncl;
    const tiltedVy = planeVy * cosIncl - z * inclinationRate;
    const node = this.#nodeRad + this.#nodeRateRadps * tS;
    const sinNode = Math.sin(node);
    const cosNode = Math.cos(node);
    out.xM = planeX * cosNode - tiltedY * sinNode;
    out.yM = planeX * sinNode + tiltedY * cosNode;
    out.zM = z;
    out.vxMps = planeVx * cosNode - tiltedVy * sinNode - this.#nodeRateRadps * out.yM;
    out.vyMps = planeVx * sinNode + tiltedVy * cosNode + this.#nodeRateRadps * out.xM;
    out.vzMps = planeVy * sinIncl + tiltedY * inclinationRate;
    if (this.#isTiltedGeo) fromTiltedPlane(out, this.#earthRadps, tS);
  }
}

/** From the tilted frame that stood still since the reference time, to the Earth-fixed one: Rz(w t) Rx(-5 deg). */
function fromTiltedPlane(out: OrbitState, earthRadps: number, tS: number): void {
  const y = out.yM * COS_TILT - out.zM * SIN_TILT;
  const vy = out.vyMps * COS_TILT - out.vzMps * SIN_TILT;
  out.zM = out.yM * SIN_TILT + out.zM * COS_TILT;
  out.vzMps = out.vyMps * SIN_TILT + out.vzMps * COS_TILT;
  const cos = Math.cos(earthRadps * tS);
  const sin = Math.sin(earthRadps * tS);
  const { xM, vxMps } = out;
  out.xM = xM * cos + y * sin;
  out.yM = y * cos - xM * sin;
  out.vxMps = vxMps * cos + vy * sin + earthRadps * out.yM;
  out.vyMps = vy * cos - vxMps * sin - earthRadps * out.xM;
}
