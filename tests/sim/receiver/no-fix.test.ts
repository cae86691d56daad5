import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Epoch } from '../../../src/sim/epoch.js';
import type { Band } from '../../../src/sim/signal/signal-kind.js';
import { SYSTEM_NAMES } from '../../../src/sim/sky/system.js';
import { OPEN_SKY, type Surroundings } from '../../../src/sim/surroundings.js';
import type { Trajectory } from '../../../src/sim/trajectory/trajectory.js';
import { epochs, numbersIn, offM, simulator, trackedMost, type Wish } from './still.js';

const STARTS = ['cold', 'warm', 'hot'] as const;
const BANDS: ReadonlyArray<readonly Band[]> = [['L1'], ['L1', 'L2'], ['L1', 'L5']];

/** Nothing in an epoch is not a number, and what is reported lies within its bounds and fits together. */
function expectSound(epoch: Epoch): void {
  expect(numbersIn(epoch).every(Number.isFinite)).toBe(true);
  const { report } = epoch;
  const isFixed = report.fix !== 'none';
  expect(report.status).toBe(isFixed ? 'A' : 'V');
  expect(report.latitudeDeg === null).toBe(!isFixed);
  expect(report.longitudeDeg === null).toBe(!isFixed);
  expect(report.altitudeMslM === null).toBe(!isFixed);
  expect(report.residualsM.length).toBe(report.used.length);
  expect(report.utc === null).toBe(!report.timeKnown);
  if (!isFixed) expect(report).toMatchObject({ quality: 0, mode: 'N', used: [], hdop: null, deviation: null });
  if (!isFixed) return;
  expect(Math.abs(report.latitudeDeg as number)).toBeLessThanOrEqual(90);
  expect(Math.abs(report.longitudeDeg as number)).toBeLessThanOrEqual(180);
  if (report.courseDeg !== null) {
    expect(report.courseDeg).toBeGreaterThanOrEqual(0);
    expect(report.courseDeg).toBeLessThan(360);
  }
  if (report.heading !== null) {
    expect(report.heading.headingDeg).toBeGreaterThanOrEqual(0);
    expect(report.heading.headingDeg).toBeLessThan(360);
  }
  const shown = new Set(report.inView.map(({ id }) => id));
  for (const id of report.used) expect(shown.has(id)).toBe(true);
}

describe('nothing to fix by', () => {
  it.each(STARTS)('%s, no satellite at all: never a fix, and nothing breaks', (start) => {
    for (const epoch of epochs(simulator({ start, satellites: () => [] }), 60)) {
      expectSound(epoch);
      expect(epoch.report).toMatchObject({ fix: 'none', inView: [] });
      expect(epoch.satellites).toEqual([]);
      expect(epoch.report.timeKnown).toBe(start !== 'cold');
    }
  });

  it.each(STARTS)('%s, all satellites unhealthy: tracked, never used, and the time is known', (start) => {
    const satellites: Wish['satellites'] = (all) => all.map((s) => ({ ...s, statusAt: () => 'unhealthy' as const }));
    const all = epochs(simulator({ start, systems: ['gps', 'galileo'], satellites }), 120);
    for (const epoch of all) {
      expectSound(epoch);
      expect(epoch.report.fix).toBe('none');
    }
    expect(trackedMost(all)).toBeGreaterThan(8);
    expect(all.at(-1)?.report.timeKnown).toBe(true);
  });

  it.each(STARTS)('%s, 0 channels: never a fix', (start) => {
    const all = epochs(simulator({ start, receiver: { channels: 0 } }), 120);
    for (const epoch of all) {
      expectSound(epoch);
      expect(epoch.report.fix).toBe('none');
      expect(epoch.report.inView.every(({ cn0DbHz }) => cn0DbHz === null)).toBe(true);
    }
    expect(trackedMost(all)).toBe(0);
  });

  it.each(STARTS)('%s, one channel: one satellite at a time, never a fix', (start) => {
    const all = epochs(simulator({ start, receiver: { channels: 1 } }), 120);
    for (const epoch of all) {
      expectSound(epoch);
      expect(epoch.report.fix).toBe('none');
    }
    expect(trackedMost(all)).toBe(1);
  });

  it('a mask of 90 deg: tracked, never used', () => {
    const all = epochs(simulator({ receiver: { elevationMaskDeg: 90 } }), 60);
    for (const epoch of all) expect(epoch.report).toMatchObject({ fix: 'none', used: [] });
    expect(trackedMost(all)).toBeGreaterThan(5);
  });
});

describe('odd ways to be set up that work', () => {
  it('1000 channels, all systems, two bands: as with as many as there are signals', () => {
    const wish: Wish = { systems: SYSTEM_NAMES, at: { latitudeDeg: 20, longitudeDeg: 100 } };
    const many = epochs(simulator({ ...wish, receiver: { channels: 1000, bands: ['L1', 'L5'] } }), 10);
    const enough = epochs(simulator({ ...wish, receiver: { channels: 200, bands: ['L1', 'L5'] } }), 10);
    many.forEach(expectSound);
    expect(many.at(-1)?.report).toEqual(enough.at(-1)?.report);
    expect(many.at(-1)?.report.used.length).toBeGreaterThan(30);
  });

  it.each([
    ['under ground, which no setting forbids', { altitudeMslM: -500 }],
    ['in the stratosphere', { altitudeMslM: 50_000 }],
    ['north pole', { latitudeDeg: 90, altitudeMslM: 0 }],
    ['south pole', { latitudeDeg: -90, altitudeMslM: 2800 }],
  ])('%s: a right position from a cold start on', (_, at) => {
    const all = epochs(simulator({ start: 'cold', systems: ['gps', 'galileo'], at }), 60);
    all.forEach(expectSound);
    const last = all.at(-1) as Epoch;
    expect(last.report.fix).toBe('3d');
    expect(offM(last)).toBeLessThan(20);
    expect(Math.abs((last.report.altitudeMslM as number) - last.truth.altitudeMslM)).toBeLessThan(40);
  });
});

const SURROUNDINGS: readonly Surroundings[] = [
  OPEN_SKY,
  { kind: 'tunnel' },
  { kind: 'street-canyon', widthM: 20, leftHeightM: 30, rightHeightM: 15, directionDeg: null },
  { kind: 'forest', canopyM: 15, lossDbPerM: 0.5 },
  { kind: 'indoors', roofDb: 15, wallDb: 10 },
  {
    kind: 'horizon',
    points: [
      [0, 40],
      [120, 5],
      [200, 60],
    ],
  },
];

describe('whatever the settings', () => {
  const settings = fc.record({
    seed: fc.nat(1_000_000),
    start: fc.constantFrom(...STARTS),
    startS: fc.integer({ min: -500_000_000, max: 1_000_000_000 }),
    systems: fc.subarray([...SYSTEM_NAMES], { minLength: 1 }),
    epochMs: fc.constantFrom(100, 1000, 7000),
    latitudeDeg: fc.oneof(fc.constantFrom(-90, 90, 0, 89.9999999), fc.double({ min: -90, max: 90, noNaN: true })),
    longitudeDeg: fc.oneof(fc.constantFrom(-180, 0, 180), fc.double({ min: -180, max: 180, noNaN: true })),
    altitudeMslM: fc.oneof(fc.constantFrom(-500, 0, 50_000), fc.double({ min: -500, max: 50_000, noNaN: true })),
    speedMps: fc.constantFrom(0, 0, 1, 30),
    withErrors: fc.boolean(),
    withObservations: fc.boolean(),
    surroundings: fc.array(fc.constantFrom(...SURROUNDINGS), { minLength: 1, maxLength: 3 }),
    receiver: fc.record({
      bands: fc.constantFrom(...BANDS),
      antenna: fc.constantFrom('good' as const, 'patch' as const, 'poor' as const),
      elevationMaskDeg: fc.oneof(fc.constantFrom(0, 5, 90), fc.double({ min: 0, max: 90, noNaN: true })),
      channels: fc.constantFrom(0, 1, 4, 12, 72, 1000),
      sbasCorrections: fc.boolean(),
      simulatorFlags: fc.boolean(),
      heading: fc.constantFrom('none' as const, 'course' as const, 'two-antennas' as const),
      assumedLeapSeconds: fc.constantFrom(null, 0, 17, 100),
      firmwareWeek: fc.constantFrom(null, 0, 1800, 9000),
      smoothing: fc.record({
        holdBelowMps: fc.constantFrom(null, 0, 0.5),
        lowPassS: fc.constantFrom(0, 10),
        deadReckoningS: fc.constantFrom(0, 20),
      }),
    }),
  });

  it('no field of any report is ever something that is not a number', () => {
    fc.assert(
      fc.property(settings, ({ latitudeDeg, longitudeDeg, altitudeMslM, speedMps, surroundings, ...wish }) => {
        const motion = { latitudeDeg, longitudeDeg, altitudeMslM, speedMps, courseDeg: 90, climbMps: 0 };
        const perS = speedMps / (111_320 * Math.max(0.01, Math.cos((latitudeDeg * Math.PI) / 180)));
        const trajectory: Trajectory = {
          durationS: Infinity,
          at: (tS) => ({ ...motion, longitudeDeg: ((longitudeDeg + perS * tS + 540) % 360) - 180 }),
          surroundingsAt: () => null,
          stretches: [],
        };
        const count = 45;
        const part = (wish.epochMs * count) / surroundings.length;
        const around = (atMs: number) => surroundings[Math.floor(atMs / part)] as Surroundings;
        for (const epoch of epochs(simulator({ ...wish, trajectory, hooks: { surroundings: around } }), count)) {
          expectSound(epoch);
        }
      }),
      { numRuns: 80 },
    );
  });
});
