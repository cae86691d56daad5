import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { addSeconds, gpsFromUtc } from '../../src/base/time.js';
import type { StateRecord } from '../../src/sim/sky/broadcast-record.js';
import type { OrbitState } from '../../src/sim/sky/orbit.js';
import { StateOrbit } from '../../src/sim/sky/state-orbit.js';

const EXAMPLES = new URL('../../../shared/data/tables/glonass-icd-examples.json', import.meta.url).pathname;
const KM = 1000;
/** What the integrated position may differ from the printed one by. */
const ONE_CENTIMETRE = 0.01;
/** Accelerations of Moon and Sun, 5e-6 m/s2, over the 600 s: the printed velocity is that of a run with them. */
const LUNISOLAR_MPS = 0.003;

type Triple = [number, number, number];

interface Example {
  readonly tb_s_moscow: number;
  readonly ti_s: number;
  readonly pos_km: Triple;
  readonly vel_km_s: Triple;
  readonly acc_km_s2: Triple;
  readonly expected_simplified_km: Triple;
  readonly expected_vel_km_s: Triple;
}

const scaled = ([x, y, z]: Triple): Triple => [x * KM, y * KM, z * KM];

/** The example's state at its end, with or without the accelerations of Moon and Sun. */
function solve(example: Example, accelerationMps2: Triple): OrbitState {
  // Day 251 of the four years from 2012 on, by Moscow's clock, 3 h ahead of UTC.
  const midnight = gpsFromUtc({ year: 2012, month: 9, day: 7, hour: 0, minute: 0, second: 0 });
  const toe = addSeconds(midnight, example.tb_s_moscow - 3 * 3600);
  const record: StateRecord = {
    kind: 'state',
    id: 'R01',
    system: 'glonass',
    isHealthy: true,
    sentAt: toe,
    toe,
    positionM: scaled(example.pos_km),
    velocityMps: scaled(example.vel_km_s),
    accelerationMps2,
    clockBiasS: 0,
    clockDrift: 0,
    frequencyNumber: 0,
    healthBits: 0,
    age: 0,
    accuracyM: 0,
  };
  const out: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
  const start = addSeconds(toe, -1000);
  new StateOrbit(record, start).stateAt(1000 + example.ti_s - example.tb_s_moscow, out);
  return out;
}

function apart({ xM, yM, zM }: OrbitState, [x, y, z]: Triple): number {
  return Math.hypot(xM - x, yM - y, zM - z);
}

describe('GLONASS ICD (CDMA general description 1.0, appendix J.2): ephemeris example of 2012-09-07', () => {
  it.skipIf(!existsSync(EXAMPLES))(
    'glonass-icd-examples.json: the simplified algorithm, accelerations zero as in the printed run, within 1 cm',
    () => {
      const { ephemeris_example: example } = JSON.parse(readFileSync(EXAMPLES, 'utf8')) as {
        ephemeris_example: Example;
      };
      const out = solve(example, [0, 0, 0]);
      expect(apart(out, scaled(example.expected_simplified_km))).toBeLessThan(ONE_CENTIMETRE);
      const [vx, vy, vz] = scaled(example.expected_vel_km_s);
      expect(Math.hypot(out.vxMps - vx, out.vyMps - vy, out.vzMps - vz)).toBeLessThan(LUNISOLAR_MPS);
    },
  );

  it('quoted: the same example with the record’s accelerations, as the note recomputes it, within 1 cm', () => {
    const example: Example = {
      tb_s_moscow: 11_700,
      ti_s: 12_300,
      pos_km: [7003.008789, -12206.626953, 21280.765625],
      vel_km_s: [0.7835417, 2.804253, 1.352515],
      acc_km_s2: [0, 1.7e-9, -5.41e-9],
      expected_simplified_km: [7523.174853, -10506.961865, 21999.238892],
      expected_vel_km_s: [0, 0, 0],
    };
    const out = solve(example, scaled(example.acc_km_s2));
    expect(apart(out, scaled(example.expected_simplified_km))).toBeLessThan(ONE_CENTIMETRE);
  });
});
