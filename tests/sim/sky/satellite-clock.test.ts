import { describe, expect, it } from 'vitest';
import { addSeconds, type GpsTime } from '../../../src/base/time.js';
import type { KeplerRecord, StateRecord } from '../../../src/sim/sky/broadcast-record.js';
import { satelliteClock } from '../../../src/sim/sky/satellite-clock.js';

/** Rounding of doubles of a tenth of a millisecond. */
const ROUNDING_S = 1e-18;

const START: GpsTime = { week: 2404, towS: 604_000 };

describe('satellite clock', () => {
  it('of a state is bias and drift from its reference time, with nothing added (GLONASS ICD 5.1, 3.3.3)', () => {
    const toe = addSeconds(START, 1000);
    const record = { kind: 'state', toe, clockBiasS: 6e-5, clockDrift: 9e-13 } as unknown as StateRecord;
    expect(Math.abs(satelliteClock(record, 400, START).offsetS - (6e-5 - 600 * 9e-13))).toBeLessThan(ROUNDING_S);
  });

  it('of elements has the effect of the eccentricity, F e sqrt(A) sin E (IS-GPS-200N, 20.3.3.3.3.1)', () => {
    const circular = {
      kind: 'kepler',
      system: 'gps',
      toe: START,
      toc: addSeconds(START, -100),
      clock: { af0S: 1e-4, af1: 2e-12, af2PerS: 0 },
      eccentricity: 0,
      rootSemiMajor: 5153.7,
      meanAnomalyRad: Math.PI / 2 - 0.01,
      meanMotionDeltaRadps: 0,
    } as unknown as KeplerRecord;
    const plainS = satelliteClock(circular, 0, START).offsetS;
    expect(Math.abs(plainS - (1e-4 + 100 * 2e-12))).toBeLessThan(ROUNDING_S);
    // Mean anomaly pi/2 - e puts the eccentric one at pi/2.
    const effectS = satelliteClock({ ...circular, eccentricity: 0.01 }, 0, START).offsetS - plainS;
    const expectedS = -4.442807633e-10 * 0.01 * 5153.7;
    // The published constant has ten digits.
    expect(Math.abs(effectS / expectedS - 1)).toBeLessThan(1e-9);
  });
});
