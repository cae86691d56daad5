import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addSeconds, type GpsTime } from '../../../src/base/time.js';
import type { StateRecord } from '../../../src/sim/sky/broadcast-record.js';
import type { OrbitState } from '../../../src/sim/sky/orbit.js';
import { StateOrbit } from '../../../src/sim/sky/state-orbit.js';

const START: GpsTime = { week: 2200, towS: 604_000 };
const TOE_S = 900;

const record: StateRecord = {
  kind: 'state',
  id: 'R07',
  system: 'glonass',
  isHealthy: true,
  sentAt: START,
  toe: addSeconds(START, TOE_S),
  positionM: [7_003_008.789, -12_206_626.953, 21_280_765.625],
  velocityMps: [783.5417, 2804.253, 1352.515],
  accelerationMps2: [0, 1.7e-6, -5.41e-6],
  clockBiasS: 0,
  clockDrift: 0,
  frequencyNumber: 5,
  healthBits: 0,
  age: 0,
  accuracyM: 0,
};

function stateAt(orbit: StateOrbit, atS: number): OrbitState {
  const out: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
  orbit.stateAt(atS, out);
  return out;
}

describe('orbit from a broadcast state', () => {
  it('at its own time it is the record, of GLONASS and of SBAS', () => {
    for (const system of ['glonass', 'sbas'] as const) {
      const { xM, yM, zM, vxMps, vyMps, vzMps } = stateAt(new StateOrbit({ ...record, system }, START), TOE_S);
      expect([xM, yM, zM]).toEqual(record.positionM);
      expect([vxMps, vyMps, vzMps]).toEqual(record.velocityMps);
    }
  });

  it('SBAS: RTCA DO-229D, A.4.4.11: x + v t + a t2 / 2', () => {
    const sbas: StateRecord = {
      ...record,
      id: 'S36',
      system: 'sbas',
      positionM: [42_000_000, 3_600_000, 1000],
      velocityMps: [1, -2, 3],
      accelerationMps2: [0.002, 0, -0.004],
    };
    expect(stateAt(new StateOrbit(sbas, START), TOE_S + 100)).toEqual({
      xM: 42_000_000 + 100 + 10,
      yM: 3_600_000 - 200,
      zM: 1000 + 300 - 20,
      vxMps: 1.2,
      vyMps: -2,
      vzMps: 2.6,
    });
  });

  it('does not depend on which times were asked for before', () => {
    const times = fc.array(fc.double({ min: -7200, max: 7200, noNaN: true }), { minLength: 1, maxLength: 20 });
    fc.assert(
      fc.property(times, (asked) => {
        const orbit = new StateOrbit(record, START);
        for (const atS of asked) expect(stateAt(orbit, atS)).toEqual(stateAt(new StateOrbit(record, START), atS));
      }),
      { numRuns: 30 },
    );
  });

  it('velocity is the position’s rate, and nothing jumps where a step ends', () => {
    /** Of a central difference over 0.2 s: its truncation is 1 um/s, rounding of positions a tenth of that. */
    const RATE_MPS = 5e-6;
    const orbit = new StateOrbit(record, START);
    for (const atS of [TOE_S - 1800, TOE_S - 60, TOE_S - 31, TOE_S, TOE_S + 60, TOE_S + 599, TOE_S + 86_400]) {
      const [before, at, after] = [stateAt(orbit, atS - 0.1), stateAt(orbit, atS), stateAt(orbit, atS + 0.1)];
      expect(Math.abs((after.xM - before.xM) / 0.2 - at.vxMps)).toBeLessThan(RATE_MPS);
      expect(Math.abs((after.yM - before.yM) / 0.2 - at.vyMps)).toBeLessThan(RATE_MPS);
      expect(Math.abs((after.zM - before.zM) / 0.2 - at.vzMps)).toBeLessThan(RATE_MPS);
    }
  });
});
