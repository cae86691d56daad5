import { DEG_PER_RAD } from '../base/constants.js';
import { type Ecef, ecefFromGeodetic, geodeticFromEcef, LocalFrame } from '../base/frames.js';
import type { Truth } from '../sim/epoch.js';
import type { TrialEpoch } from './evidence.js';

/** Below it a course means nothing: the nearer epoch's is taken, m/s. */
const REST_MPS = 0.01;

/**
 * Where the antenna truly was. At an epoch that is the epoch's own truth; between two epochs a cubic Hermite curve, in
 * Earth-centred coordinates, through both places with both velocities; before the first and after the last one
 * straight on, for a time of up to `beyondMs`.
 * @param epochs in order
 * @param atMs simulated ms
 * @returns null: not known there
 * Source of the method: textbook formula of cubic Hermite interpolation, from memory.
 */
export function truthAt(epochs: readonly TrialEpoch[], atMs: number, beyondMs: number): Truth | null {
  let [low, high] = [0, epochs.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((epochs[middle] as TrialEpoch).atMs <= atMs) low = middle + 1;
    else high = middle;
  }
  const before = epochs[low - 1];
  const after = epochs[low];
  if (before?.atMs === atMs) return before.truth;
  if (before !== undefined && after !== undefined) return between(before, after, atMs);
  const only = before ?? after;
  if (only === undefined || only.truth === null || Math.abs(atMs - only.atMs) > beyondMs) return null;
  return straightOn(only.truth, (atMs - only.atMs) / 1000);
}

function between(before: TrialEpoch, after: TrialEpoch, atMs: number): Truth | null {
  if (before.truth === null || after.truth === null) return null;
  const lengthS = (after.atMs - before.atMs) / 1000;
  const s = (atMs - before.atMs) / 1000 / lengthS;
  const [p, q] = [ecefOf(before.truth), ecefOf(after.truth)];
  const [v, w] = [velocityOf(before.truth), velocityOf(after.truth)];
  const place = (from: number, to: number, fromMps: number, toMps: number) =>
    (1 + 2 * s) * (1 - s) ** 2 * from +
    s * (1 - s) ** 2 * lengthS * fromMps +
    s * s * (3 - 2 * s) * to +
    s * s * (s - 1) * lengthS * toMps;
  const rate = (from: number, to: number, fromMps: number, toMps: number) =>
    (6 * s * (1 - s) * (to - from)) / lengthS + (1 - s) * (1 - 3 * s) * fromMps + s * (3 * s - 2) * toMps;
  const at = each(place, p, q, v, w);
  const velocity = each(rate, p, q, v, w);
  return truthOf(at, velocity, before.truth, after.truth, s);
}

/** One function for all three axes. */
function each(
  of: (from: number, to: number, fromMps: number, toMps: number) => number,
  p: Ecef,
  q: Ecef,
  v: Ecef,
  w: Ecef,
): Ecef {
  return { xM: of(p.xM, q.xM, v.xM, w.xM), yM: of(p.yM, q.yM, v.yM, w.yM), zM: of(p.zM, q.zM, v.zM, w.zM) };
}

function straightOn(truth: Truth, byS: number): Truth {
  const p = ecefOf(truth);
  const v = velocityOf(truth);
  const at = { xM: p.xM + v.xM * byS, yM: p.yM + v.yM * byS, zM: p.zM + v.zM * byS };
  return truthOf(at, v, truth, truth, 0);
}

function ecefOf({ latitudeDeg, longitudeDeg, heightEllipsoidM }: Truth): Ecef {
  return ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: heightEllipsoidM });
}

function velocityOf({ latitudeDeg, longitudeDeg, speedMps, courseDeg, climbMps }: Truth): Ecef {
  const courseRad = courseDeg / DEG_PER_RAD;
  return new LocalFrame(latitudeDeg, longitudeDeg).toEcef({
    eastM: speedMps * Math.sin(courseRad),
    northM: speedMps * Math.cos(courseRad),
    upM: climbMps,
  });
}

function truthOf(at: Ecef, velocity: Ecef, before: Truth, after: Truth, share: number): Truth {
  const { latitudeDeg, longitudeDeg, heightM } = geodeticFromEcef(at);
  const { eastM, northM, upM } = new LocalFrame(latitudeDeg, longitudeDeg).toEnu(velocity.xM, velocity.yM, velocity.zM);
  const speedMps = Math.hypot(eastM, northM);
  const [beforeM, afterM] = [before, after].map((truth) => truth.heightEllipsoidM - truth.altitudeMslM) as [
    number,
    number,
  ];
  const courseDeg = (Math.atan2(eastM, northM) * DEG_PER_RAD + 360) % 360;
  return {
    latitudeDeg,
    longitudeDeg,
    heightEllipsoidM: heightM,
    altitudeMslM: heightM - (beforeM + share * (afterM - beforeM)),
    speedMps,
    courseDeg: speedMps < REST_MPS ? (share < 0.5 ? before : after).courseDeg : courseDeg,
    climbMps: upM,
  };
}
