import { describe, expect, it } from 'vitest';
import type { StateRecord } from '../../../src/sim/sky/broadcast-record.js';
import { InterpolatedOrbit, SEGMENT_S } from '../../../src/sim/sky/interpolated-orbit.js';
import { KeplerOrbit } from '../../../src/sim/sky/kepler-orbit.js';
import type { Orbit, OrbitState } from '../../../src/sim/sky/orbit.js';
import { StateOrbit } from '../../../src/sim/sky/state-orbit.js';
import { GPS_RECORD, RECORDS } from './records.js';

/** A tenth of a millimetre: nothing that a receiver could see. */
const POSITION_M = 1e-4;
const VELOCITY_MPS = 2e-5;
const START = GPS_RECORD.toe;

/** R01 of 2020-06-24 23:15 UTC, as the mixed navigation file of the next day has it. */
const GLONASS: StateRecord = {
  kind: 'state',
  id: 'R01',
  system: 'glonass',
  isHealthy: true,
  sentAt: START,
  toe: START,
  positionM: [10_908_942.38281, -2_885_726.074219, 22_883_539.55078],
  velocityMps: [1407.806396484, 2795.855522156, -316.9984817505],
  accelerationMps2: [-1.862645149231e-6, 0, -2.793967723846e-6],
  clockBiasS: 0,
  clockDrift: 0,
  frequencyNumber: 1,
  healthBits: 0,
  age: 0,
  accuracyM: 0,
};

function blank(): OrbitState {
  return { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
}

const SOURCES: ReadonlyArray<readonly [string, Orbit]> = [
  ...RECORDS.map((record) => [record.id, new KeplerOrbit(record, START)] as const),
  ['R01', new StateOrbit(GLONASS, START)],
];

describe('an interpolated orbit', () => {
  it.each(SOURCES)('%s: within 0.1 mm and 0.02 mm/s of its source', (_, source) => {
    const orbit = new InterpolatedOrbit(() => source);
    const [a, b] = [blank(), blank()];
    let [offM, offMps] = [0, 0];
    for (let tS = -1800; tS < 1800; tS += 1.37) {
      orbit.stateAt(tS, a);
      source.stateAt(tS, b);
      offM = Math.max(offM, Math.hypot(a.xM - b.xM, a.yM - b.yM, a.zM - b.zM));
      offMps = Math.max(offMps, Math.hypot(a.vxMps - b.vxMps, a.vyMps - b.vyMps, a.vzMps - b.vzMps));
    }
    expect(offM).toBeLessThan(POSITION_M);
    expect(offMps).toBeLessThan(VELOCITY_MPS);
  });

  it('gives the same whatever was asked before', () => {
    const source = new KeplerOrbit(GPS_RECORD, START);
    const times = [0, 29.99, 30, -0.01, 5000.5, 12, -3600];
    const forwards = new InterpolatedOrbit(() => source);
    const states = times.map((tS) => {
      const state = blank();
      forwards.stateAt(tS, state);
      return state;
    });
    for (const [i, tS] of times.entries()) {
      const state = blank();
      new InterpolatedOrbit(() => source).stateAt(tS, state);
      expect(state).toEqual(states[i]);
    }
  });

  it('hands over between segments only, to the orbit in force at a segment’s middle', () => {
    const early = new KeplerOrbit(GPS_RECORD, START);
    const late = new KeplerOrbit({ ...GPS_RECORD, nodeRad: GPS_RECORD.nodeRad + 1e-3 }, START);
    const changeS = 100;
    const orbit = new InterpolatedOrbit((tS) => (tS < changeS ? early : late));
    const boundaryS = Math.round(changeS / SEGMENT_S) * SEGMENT_S;
    const [state, expected] = [blank(), blank()];
    for (let tS = 0; tS < 200; tS += 0.5) {
      orbit.stateAt(tS, state);
      (tS < boundaryS ? early : late).stateAt(tS, expected);
      const offM = Math.hypot(state.xM - expected.xM, state.yM - expected.yM, state.zM - expected.zM);
      expect(offM, `${tS}`).toBeLessThan(POSITION_M);
    }
  });
});
