import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addSeconds, secondsBetween } from '../../../src/base/time.js';
import type { KeplerRecord } from '../../../src/sim/sky/broadcast-record.js';
import { KeplerOrbit } from '../../../src/sim/sky/kepler-orbit.js';
import { movedRecord, orbitClassOf, rereferenced } from '../../../src/sim/sky/kepler-record.js';
import type { Orbit, OrbitState } from '../../../src/sim/sky/orbit.js';
import { satelliteClock } from '../../../src/sim/sky/satellite-clock.js';
import { GPS_RECORD, PLAIN_RECORD, RECORDS } from './records.js';

/**
 * The central difference over 1 s leaves a sixth of the third derivative, 0.1 mm/s; an eccentric perigee a bit more.
 */
const VELOCITY_MPS = 2e-4;
/** Positions of 4e7 m told for another time: doubles, and angles summed over years, leave this, m. */
const SAME_M = 1e-4;
const SAME_CLOCK_S = 1e-15;
const WEEK_S = 604_800;
const START = GPS_RECORD.toe;

function stateOf(orbit: Orbit, tS: number): OrbitState {
  const state = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
  orbit.stateAt(tS, state);
  return state;
}

const clockS = (record: KeplerRecord, tS: number) => satelliteClock(record, tS, START).offsetS;

function apartM(a: OrbitState, b: OrbitState): number {
  return Math.hypot(a.xM - b.xM, a.yM - b.yM, a.zM - b.zM);
}

describe('the orbit of a broadcast record', () => {
  it.each(RECORDS.map((record) => [record.id, record] as const))(
    '%s: velocity is the derivative of position',
    (_, record) => {
      const orbit = new KeplerOrbit(record, START);
      for (let tS = -7200; tS <= 7200; tS += 977) {
        const [before, now, after] = [stateOf(orbit, tS - 0.5), stateOf(orbit, tS), stateOf(orbit, tS + 0.5)];
        const offMps = Math.hypot(
          after.xM - before.xM - now.vxMps,
          after.yM - before.yM - now.vyMps,
          after.zM - before.zM - now.vzMps,
        );
        expect(offMps, `${tS}`).toBeLessThan(VELOCITY_MPS);
      }
    },
  );

  it('does not depend on the start that times are counted from', () => {
    for (const record of RECORDS) {
      const [here, there] = [new KeplerOrbit(record, START), new KeplerOrbit(record, addSeconds(START, -WEEK_S - 321))];
      expect(apartM(stateOf(here, 1000), stateOf(there, 1000 + WEEK_S + 321)), record.id).toBeLessThan(SAME_M);
    }
  });

  it('BeiDou’s node is counted from the beginning of BeiDou’s own week, 14 s later: 1 mrad', () => {
    const gps = stateOf(new KeplerOrbit(PLAIN_RECORD, START), 0);
    // The same elements: at the reference time only the node's longitude differs.
    const beidou = stateOf(new KeplerOrbit({ ...PLAIN_RECORD, id: 'C30', system: 'beidou' }, START), 0);
    const turnRad = Math.atan2(beidou.yM, beidou.xM) - Math.atan2(gps.yM, gps.xM);
    const expectedRad = 7.292115e-5 * 14 + (7.2921151467e-5 - 7.292115e-5) * START.towS;
    expect(Math.abs(turnRad - expectedRad)).toBeLessThan(1e-12);
  });

  it('a BeiDou geostationary satellite with no tilt left stands still over the equator', () => {
    // In the frame tilted by 5 deg the equator's plane has this inclination and node.
    const toeS = START.towS - 14;
    const record: KeplerRecord = {
      ...PLAIN_RECORD,
      id: 'C01',
      system: 'beidou',
      rootSemiMajor: Math.sqrt((3.986004418e14 / 7.292115e-5 ** 2) ** (1 / 3)),
      eccentricity: 0,
      inclinationRad: (5 * Math.PI) / 180,
      nodeRad: Math.PI + 7.292115e-5 * toeS,
      nodeRateRadps: 0,
    };
    const orbit = new KeplerOrbit(record, START);
    const first = stateOf(orbit, 0);
    expect(Math.abs(first.zM)).toBeLessThan(SAME_M);
    expect(Math.hypot(first.vxMps, first.vyMps, first.vzMps)).toBeLessThan(1e-6);
    expect(apartM(first, stateOf(orbit, 20_000))).toBeLessThan(SAME_M);
  });

  it('names the kinds of orbits', () => {
    expect(RECORDS.map(orbitClassOf)).toEqual(['meo', 'meo', 'meo', 'igso', 'igso', 'geo', 'geo']);
  });
});

describe('the same orbit told for another reference time', () => {
  const plain = RECORDS.map((record) => ({
    ...PLAIN_RECORD,
    ...pick(record),
    nodeRateRadps: isGeo(record) ? 0 : -8e-9,
  }));

  it('passes through the same places, whenever that is; angles within a turn', () => {
    fc.assert(
      fc.property(fc.constantFrom(...plain), fc.integer({ min: -3e7, max: 3e7 }), (record, laterS) => {
        const toe = addSeconds(record.toe, laterS);
        const told = rereferenced(record, toe);
        expect([told.toe, told.toc]).toEqual([toe, toe]);
        for (const angle of [told.meanAnomalyRad, told.nodeRad]) expect(Math.abs(angle)).toBeLessThanOrEqual(Math.PI);
        const [own, other] = [new KeplerOrbit(record, START), new KeplerOrbit(told, START)];
        for (const tS of [0, laterS, laterS + 5000]) {
          expect(apartM(stateOf(own, tS), stateOf(other, tS)), record.id).toBeLessThan(10 * SAME_M);
        }
      }),
      { numRuns: 60 },
    );
  });

  it('so does its clock', () => {
    const record = { ...PLAIN_RECORD, clock: { af0S: 1e-4, af1: 3e-12, af2PerS: 1e-18 } };
    const told = rereferenced(record, addSeconds(record.toe, 7200 * 5));
    for (const tS of [0, 36_000, 40_000]) {
      expect(Math.abs(clockS(told, tS) - clockS(record, tS))).toBeLessThan(SAME_CLOCK_S * 10);
    }
  });
});

describe('a record moved in time', () => {
  it('passes through the same Earth-fixed places that much later, corrections included', () => {
    fc.assert(
      fc.property(fc.constantFrom(...RECORDS), fc.integer({ min: -4000, max: 4000 }), (record, days) => {
        const laterS = days * 86_400;
        const moved = movedRecord(record, laterS) as KeplerRecord;
        expect(secondsBetween(moved.toe, record.toe)).toBe(laterS);
        const [own, other] = [new KeplerOrbit(record, START), new KeplerOrbit(moved, addSeconds(START, laterS))];
        expect(apartM(stateOf(own, 3000), stateOf(other, 3000))).toBeLessThan(SAME_M);
        if (days % 7 === 0) expect(moved.nodeRad).toBe(record.nodeRad);
      }),
      { numRuns: 60 },
    );
  });
});

describe('the clock of a broadcast record', () => {
  it('IS-GPS-200N, 20.3.3.3.3.1: polynomial about toc plus F e sqrt(A) sin E', () => {
    const record = { ...GPS_RECORD, clock: { af0S: 1e-4, af1: 3e-12, af2PerS: 1e-18 } };
    // At mean anomaly 90 deg, E = M + e to first order; solved here by iteration.
    const motion = Math.sqrt(3.986005e14 / record.rootSemiMajor ** 6) + record.meanMotionDeltaRadps;
    const mean = record.meanAnomalyRad + motion * 1800;
    let anomaly = mean;
    for (let i = 0; i < 50; i++) anomaly = mean + record.eccentricity * Math.sin(anomaly);
    const relativityS = -4.442807633e-10 * record.eccentricity * record.rootSemiMajor * Math.sin(anomaly);
    const expectedS = 1e-4 + 3e-12 * 1800 + 1e-18 * 1800 ** 2 + relativityS;
    expect(Math.abs(clockS(record, 1800) - expectedS)).toBeLessThan(1e-17);
  });

  it('its rate is its derivative', () => {
    for (const record of RECORDS) {
      const { drift } = satelliteClock(record, 1000, START);
      const difference = (clockS(record, 1050) - clockS(record, 950)) / 100;
      // A sixth of the third derivative, over 50 s: below 1e-16.
      expect(Math.abs(drift - difference), record.id).toBeLessThan(1e-15);
    }
  });
});

function isGeo({ id }: KeplerRecord): boolean {
  return id === 'C05';
}

function pick({ id, system, rootSemiMajor, eccentricity, inclinationRad }: KeplerRecord) {
  return { id, system, rootSemiMajor, eccentricity, inclinationRad };
}
