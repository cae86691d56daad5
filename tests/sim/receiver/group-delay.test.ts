import { describe, expect, it } from 'vitest';
import { groupDelayS } from '../../../src/sim/receiver/group-delay.js';
import { SIGNAL_KINDS, type SignalKind, type SignalName } from '../../../src/sim/signal/signal-kind.js';
import type { KeplerRecord, StateRecord } from '../../../src/sim/sky/broadcast-record.js';
import type { SystemName } from '../../../src/sim/sky/system.js';

/** Rounding of doubles of some nanoseconds. */
const ROUNDING_S = 1e-22;

const FIRST_S = -5e-9;
const SECOND_S = 7e-9;

function record(system: SystemName, dataSource = 517): KeplerRecord {
  return { kind: 'kepler', system, dataSource, groupDelaysS: [FIRST_S, SECOND_S] } as unknown as KeplerRecord;
}

function delayS(system: SystemName, name: SignalName, dataSource?: number): number {
  const kind = SIGNAL_KINDS.find((each) => each.system === system && each.name === name) as SignalKind;
  return groupDelayS(record(system, dataSource), kind);
}

function expectNear(value: number, expected: number): void {
  expect(Math.abs(value - expected)).toBeLessThan(ROUNDING_S);
}

describe('group delay in a pseudorange', () => {
  it('GPS and QZSS: TGD, times (77/60) squared on L2 (IS-GPS-200N, 20.3.3.3.3.2) and (154/115) squared on L5', () => {
    for (const system of ['gps', 'qzss'] as const) {
      expectNear(delayS(system, 'L1'), FIRST_S);
      expectNear(delayS(system, 'L2'), FIRST_S * (77 / 60) ** 2);
      expectNear(delayS(system, 'L5'), FIRST_S * (154 / 115) ** 2);
    }
  });

  it('Galileo: the pair that a clock belongs to gives it without delay (Galileo OS SIS ICD 2.1, 5.1.4 and 5.1.5)', () => {
    const iNav = { E1: delayS('galileo', 'E1'), E5a: delayS('galileo', 'E5a'), E5b: delayS('galileo', 'E5b') };
    const fNav = {
      E1: delayS('galileo', 'E1', 258),
      E5a: delayS('galileo', 'E5a', 258),
      E5b: delayS('galileo', 'E5b', 258),
    };
    expectNear(iNav.E1, SECOND_S);
    expectNear(fNav.E1, FIRST_S);
    expectNear(withoutIonosphere(iNav.E1, iNav.E5b, 154 / 118), 0);
    expectNear(withoutIonosphere(fNav.E1, fNav.E5a, 154 / 115), 0);
    // Whatever the clock, signals keep their delays against each other.
    expectNear(iNav.E5a - iNav.E1, fNav.E5a - fNav.E1);
    expectNear(iNav.E5b - iNav.E1, fNav.E5b - fNav.E1);
  });

  it('BeiDou: TGD1 on B1I, nothing on B3I, whose clock it is (B1I 3.0, 5.2.4.10)', () => {
    expect([delayS('beidou', 'B1'), delayS('beidou', 'B3'), delayS('beidou', 'B2a')]).toEqual([FIRST_S, 0, SECOND_S]);
  });

  it('NavIC: TGD times the squared ratio of S to L5 (IRNSS SIS ICD 1.1, 6.2.1.5)', () => {
    expectNear(delayS('navic', 'L5'), FIRST_S * (2492.028 / 1176.45) ** 2);
  });

  it('GLONASS and SBAS broadcast none', () => {
    for (const kind of SIGNAL_KINDS) {
      const state = { kind: 'state', system: kind.system } as unknown as StateRecord;
      expect(groupDelayS(state, kind)).toBe(0);
    }
  });
});

/** The combination of two delays that is free of the ionosphere. */
function withoutIonosphere(upperS: number, lowerS: number, ratio: number): number {
  return (ratio ** 2 * upperS - lowerS) / (ratio ** 2 - 1);
}
