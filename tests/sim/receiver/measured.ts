import { type Ecef, type Enu, ecefFromGeodetic, type Geodetic, LocalFrame } from '../../../src/base/frames.js';
import { RandomStreams, type Stream } from '../../../src/base/random.js';
import type { Measurement } from '../../../src/sim/receiver/measurement.js';

/** Where and how satellites and receiver are, for measurements without error. */
export interface Situation {
  readonly at: Geodetic;
  /** Of the receiver, m/s in east, north, up. */
  readonly velocity?: Enu;
  /** Satellites of each system. */
  readonly counts: readonly number[];
  /** Clock against each system's, m. */
  readonly clocksM: readonly number[];
  readonly driftMps?: number;
  /** Elevation that a satellite has at least, deg. */
  readonly lowestDeg?: number;
}

export const stream = (name: string): Stream => new RandomStreams(1).stream(name);

/** A place anywhere between 2 km under and 12 km over the ellipsoid. */
export function anywhere(random: Stream): Geodetic {
  return {
    latitudeDeg: Math.asin(2 * random.uniform() - 1) * (180 / Math.PI),
    longitudeDeg: 360 * random.uniform() - 180,
    heightM: -2000 + 14_000 * random.uniform(),
  };
}

/** Satellites evenly over the sky, at distances as they have, with exact ranges and range rates. */
export function measured(random: Stream, situation: Situation): Measurement[] {
  const { at, counts, clocksM, driftMps = 0, lowestDeg = 5, velocity = { eastM: 0, northM: 0, upM: 0 } } = situation;
  const frame = new LocalFrame(at.latitudeDeg, at.longitudeDeg);
  const own = frame.toEcef(velocity);
  const least = Math.sin((lowestDeg * Math.PI) / 180);
  const all: Measurement[] = [];
  for (const [column, count] of counts.entries()) {
    for (let i = 0; i < count; i++) {
      const sinElevation = least + (1 - least) * random.uniform();
      const azimuth = 2 * Math.PI * random.uniform();
      all.push(
        toward(at, frame, azimuth, Math.asin(sinElevation), 2e7 + 5e6 * random.uniform(), {
          vxMps: 6000 * random.uniform() - 3000,
          vyMps: 6000 * random.uniform() - 3000,
          vzMps: 6000 * random.uniform() - 3000,
        }),
      );
      const made = all.at(-1) as Measurement;
      made.column = column;
      made.pseudorangeM += clocksM[column] as number;
      made.sigmaM = 1 + 5 * random.uniform();
      const { state } = made;
      const place = ecefFromGeodetic(at);
      const [dx, dy, dz] = [state.xM - place.xM, state.yM - place.yM, state.zM - place.zM];
      const dot = dx * (state.vxMps - own.xM) + dy * (state.vyMps - own.yM) + dz * (state.vzMps - own.zM);
      made.rangeRateMps = dot / Math.hypot(dx, dy, dz) + driftMps;
    }
  }
  return all;
}

/** A satellite in a direction, with its exact range from a place. */
export function toward(
  at: Geodetic,
  frame: LocalFrame,
  azimuthRad: number,
  elevationRad: number,
  distanceM: number,
  velocity: { readonly vxMps: number; readonly vyMps: number; readonly vzMps: number },
): Measurement {
  const across = distanceM * Math.cos(elevationRad);
  const { xM, yM, zM } = frame.toEcef({
    eastM: across * Math.sin(azimuthRad),
    northM: across * Math.cos(azimuthRad),
    upM: distanceM * Math.sin(elevationRad),
  });
  const place = ecefFromGeodetic(at);
  const state = { xM: place.xM + xM, yM: place.yM + yM, zM: place.zM + zM, ...velocity };
  return { state, column: 0, pseudorangeM: apartM(state, place), rangeRateMps: 0, sigmaM: 3, rangeRateSigmaMps: 0.05 };
}

/** Distance of two places, m. */
export function apartM(a: Ecef, b: Ecef): number {
  return Math.hypot(a.xM - b.xM, a.yM - b.yM, a.zM - b.zM);
}

/** Adds independent normal errors, each of its measurement's standard deviation. */
export function disturb(all: readonly Measurement[], random: Stream): void {
  for (const measurement of all) measurement.pseudorangeM += measurement.sigmaM * random.normal();
}
