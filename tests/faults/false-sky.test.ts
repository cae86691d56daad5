import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic } from '../../src/base/frames.js';
import type { SignalContext } from '../../src/faults/fault.js';
import { falseSky } from '../../src/faults/kinds/false-sky.js';
import type { ArrivingSignal } from '../../src/sim/signal/arriving-signal.js';
import type { AntennaFrame } from '../../src/sim/sky/sky.js';
import { viewAt } from '../sim/signal/sky-of.js';
import { ANTENNA, AT_BEGIN, arriving, effectOf, levels, signalsFrom } from './signal-helper.js';

const C_MPS = 299_792_458;
const DEG = Math.PI / 180;
/** Differences of distances of 2e7 m, and of a clock's 1e10 m. */
const ROUNDING_M = 1e-5;
/** A central difference of such distances over 0.2 s, and the satellite's curved way. */
const DIFFERENCE_MPS = 1e-3;

interface Moving {
  readonly signals: ArrivingSignal[];
  readonly place: readonly [number, number, number];
  readonly velocity: readonly [number, number, number];
}

/** A satellite that moves straight on, as the fault sees it at a time. */
function satelliteAt(tS: number): Moving {
  const view = viewAt(60, 40, 'E11');
  const velocity = [-2500, 1200, 1900] as const;
  const place = [14e6 + velocity[0] * tS, 19e6 + velocity[1] * tS, 11e6 + velocity[2] * tS] as const;
  Object.assign(view.state, { xM: place[0], yM: place[1], zM: place[2] });
  Object.assign(view.state, { vxMps: velocity[0], vyMps: velocity[1], vzMps: velocity[2] });
  return { signals: arriving(view, ['L1', 'L5'], 45), place, velocity };
}

/** The antenna at 30 m/s to the north from 52 N 4 E. */
function antennaAt(tS: number): AntennaFrame {
  const [latitudeDeg, longitudeDeg, speedMps] = [52, 4, 30];
  const start = ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: 20 });
  const north = [
    -Math.sin(latitudeDeg * DEG) * Math.cos(longitudeDeg * DEG),
    -Math.sin(latitudeDeg * DEG) * Math.sin(longitudeDeg * DEG),
    Math.cos(latitudeDeg * DEG),
  ];
  const [vx, vy, vz] = north.map((axis) => axis * speedMps) as [number, number, number];
  return {
    position: { xM: start.xM + vx * tS, yM: start.yM + vy * tS, zM: start.zM + vz * tS },
    velocity: { xM: vx, yM: vy, zM: vz },
    latitudeRad: latitudeDeg * DEG,
    longitudeRad: longitudeDeg * DEG,
  };
}

function shownAt(settings: unknown, tS: number): { rangeM: number; rateMps: number } {
  const { signals } = satelliteAt(tS);
  const context: SignalContext = { tS, sinceS: tS, leftS: Infinity, antenna: antennaAt(tS) };
  effectOf(falseSky, settings).signal(signals, context);
  const { falseRangeM, falseRangeRateMps } = signals[0] as ArrivingSignal;
  return { rangeM: falseRangeM, rateMps: falseRangeRateMps };
}

/** Distance of the satellite from a place by latitude, longitude and height, less that from the antenna. */
function longerBy(tS: number, latitudeDeg: number, longitudeDeg: number, heightM: number): number {
  const far = ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM });
  const { position } = antennaAt(tS);
  const [x, y, z] = satelliteAt(tS).place;
  return Math.hypot(x - far.xM, y - far.yM, z - far.zM) - Math.hypot(x - position.xM, y - position.yM, z - position.zM);
}

describe('false-sky', () => {
  it('shows a place 400 m to the east, reached at 5 m/s, 6 dB stronger, unless it is told otherwise', () => {
    expect(falseSky.settings.parse({})).toEqual({
      offset: { east: 400, north: 0, up: 0 },
      time: 0,
      onset: 'gradual',
      rate: 5,
      power: 6,
      systems: 'all',
    });
    expect(falseSky.settings.parse({ offset: { north: '-50 m' }, time: '2 us' })).toMatchObject({
      offset: { east: 0, north: -50, up: 0 },
      time: 2e-6,
    });
  });

  it('at once: ranges are those of the place shown, computed from its latitude and longitude', () => {
    // WGS-84 at 52 N: radii of curvature of the meridian and across it, for 120 m north and 300 m east.
    const [a, f] = [6_378_137, 1 / 298.257223563];
    const e2 = f * (2 - f);
    const w = Math.sqrt(1 - e2 * Math.sin(52 * DEG) ** 2);
    const [meridianM, acrossM] = [(a * (1 - e2)) / w ** 3 + 20, a / w + 20];
    const latitudeDeg = 52 + 120 / meridianM / DEG;
    const longitudeDeg = 4 + 300 / (acrossM * Math.cos(52 * DEG)) / DEG;
    const settings = { offset: { east: '300 m', north: '120 m', up: '-15 m' }, onset: 'at-once' };
    // A plane 323 m wide stands off the ellipsoid by 323^2 / 2a = 0.8 cm.
    const CURVATURE_M = 0.02;
    expect(Math.abs(shownAt(settings, 0).rangeM - longerBy(0, latitudeDeg, longitudeDeg, 5))).toBeLessThan(CURVATURE_M);
  });

  it('upwards: a satellite overhead is just so much nearer', () => {
    const view = viewAt(0, 90);
    Object.assign(view.state, { xM: 26_560_000, yM: 0, zM: 0 });
    const signals = arriving(view, ['L1'], 45);
    effectOf(falseSky, { offset: { up: '70 m' }, onset: 'at-once' }).signal(signals, AT_BEGIN);
    expect(Math.abs((signals[0]?.falseRangeM as number) + 70)).toBeLessThan(ROUNDING_M);
  });

  it.each([
    ['2 us', 2e-6],
    ['-3 ms', -3e-3],
    ['2 s', 2],
  ])('a time of %s lengthens every range by as much light takes', (time, seconds) => {
    const { rangeM, rateMps } = shownAt({ offset: {}, time, onset: 'at-once' }, 0);
    expect(Math.abs(rangeM - seconds * C_MPS)).toBeLessThan(ROUNDING_M);
    expect(rateMps).toBe(0);
  });

  it('gradual: begins at the true place and time, pulls off at its rate, and stays once it is there', () => {
    const settings = { offset: { north: '100 m' }, rate: '4 m/s' };
    const atOnce = (north: number) => shownAt({ offset: { north: `${north} m` }, onset: 'at-once' }, 10).rangeM;
    expect(shownAt(settings, 0).rangeM).toBe(0);
    expect(Math.abs(shownAt(settings, 10).rangeM - atOnce(40))).toBeLessThan(ROUNDING_M);
    const late = shownAt({ offset: { north: '100 m' }, onset: 'at-once' }, 40).rangeM;
    expect(Math.abs(shownAt(settings, 40).rangeM - late)).toBeLessThan(ROUNDING_M);
    const time = { offset: {}, time: '-1 us', rate: '10 m/s' };
    expect(Math.abs(shownAt(time, 10).rangeM + 100)).toBeLessThan(ROUNDING_M);
    expect(shownAt(time, 10).rateMps).toBe(-10);
    expect(Math.abs(shownAt(time, 60).rangeM + 1e-6 * C_MPS)).toBeLessThan(ROUNDING_M);
    expect(shownAt(time, 60).rateMps).toBe(0);
  });

  it('range rates are the derivatives of the ranges, pulling off or not', () => {
    const h = 0.1;
    const settings = { offset: { east: '900 m', north: '-300 m', up: '40 m' }, time: '5 us', rate: '8 m/s' };
    for (const each of [settings, { ...settings, onset: 'at-once' }]) {
      for (const tS of [1, 20, 60]) {
        const difference = (shownAt(each, tS + h).rangeM - shownAt(each, tS - h).rangeM) / (2 * h);
        expect(Math.abs(shownAt(each, tS).rateMps - difference)).toBeLessThan(DIFFERENCE_MPS);
      }
    }
  });

  it('all signals come equally strong, each by its power or more above the true one', () => {
    const true_ = (id: string) => 30 + Number(id.slice(1));
    const signals = signalsFrom(['G01', 'G08', 'E15', 'C20'], ['L1', 'L5'], true_);
    effectOf(falseSky, { power: '10 dB' }).signal(signals, AT_BEGIN);
    for (const { id, cn0DbHz } of signals) expect(cn0DbHz).toBeGreaterThanOrEqual(true_(id) + 10);
    const range = Math.max(...levels(signals)) - Math.min(...levels(signals));
    expect(range).toBeLessThan(5);
    expect(Math.max(...levels(signals))).toBe(60);
  });

  it('takes the place of reflections, and shows satellites that are hidden, but none where nothing arrives', () => {
    const signals = signalsFrom(['G01', 'G02', 'G03'], ['L1'], (id) => (id === 'G02' ? -Infinity : 45));
    for (const signal of signals) Object.assign(signal, { multipathScale: 4, detourM: 20 });
    effectOf(falseSky).signal(signals, AT_BEGIN);
    for (const { cn0DbHz, multipathScale, detourM } of signals) {
      expect([multipathScale, detourM]).toEqual([1, 0]);
      expect(cn0DbHz).toBeGreaterThanOrEqual(45);
    }
    const tunnel = signalsFrom(['G01', 'G02'], ['L1'], () => -Infinity);
    effectOf(falseSky, { onset: 'at-once' }).signal(tunnel, AT_BEGIN);
    expect(levels(tunnel)).toEqual([-Infinity, -Infinity]);
  });

  it('of some systems leaves the others true', () => {
    const signals = signalsFrom(['G01', 'R02', 'E03']);
    for (const { view } of signals) Object.assign(view.state, { xM: 2e7, yM: 1e7, zM: 5e6 });
    effectOf(falseSky, { systems: ['gps', 'galileo'], onset: 'at-once' }).signal(signals, AT_BEGIN);
    expect(signals.map(({ falseRangeM }) => falseRangeM !== 0)).toEqual([true, false, true]);
    expect(signals[1]?.cn0DbHz).toBe(45);
  });

  it.each([
    { offset: { east: 400 } },
    { offset: { west: '4 m' } },
    { offset: '400 m' },
    { time: '61 s' },
    { rate: '0 m/s' },
    { onset: 'slow' },
    { power: '-1 dB' },
    { systems: ['loran'] },
  ])('refuses %j', (settings) => {
    expect(falseSky.settings.safeParse(settings).success).toBe(false);
  });

  it('shows the true place where only a time is given, and no long time by and by', () => {
    expect(falseSky.settings.parse({ time: '2 us' })).toMatchObject({ offset: { east: 0, north: 0, up: 0 } });
    expect(falseSky.settings.safeParse({ time: '3 s', onset: 'at-once' }).success).toBe(true);
    const refused = falseSky.settings.safeParse({ time: '3 s' });
    expect(refused.error?.issues[0]).toMatchObject({ path: ['time'], message: expect.stringContaining('at-once') });
  });

  it('never makes NaN', () => {
    const metres = fc.integer({ min: -100_000, max: 100_000 });
    fc.assert(
      fc.property(
        fc.record({ east: metres, north: metres, up: metres }),
        fc.double({ min: -60, max: 60, noNaN: true }),
        fc.constantFrom('gradual', 'at-once'),
        fc.double({ min: 0, max: 1e6, noNaN: true }),
        fc.constantFrom(45, 10, -Infinity),
        ({ east, north, up }, time, onset, sinceS, cn0DbHz) => {
          const offset = { east: `${east} m`, north: `${north} m`, up: `${up} m` };
          const { signals } = satelliteAt(0);
          for (const signal of signals.slice(1)) signal.cn0DbHz = cn0DbHz;
          const effect = effectOf(falseSky, { offset, time: `${onset === 'gradual' ? time / 60_000 : time} s`, onset });
          effect.signal(signals, { tS: sinceS, sinceS, leftS: Infinity, antenna: ANTENNA });
          for (const { falseRangeM, falseRangeRateMps, cn0DbHz: level } of signals) {
            expect(Number.isFinite(falseRangeM) && Number.isFinite(falseRangeRateMps)).toBe(true);
            expect(Number.isNaN(level)).toBe(false);
          }
        },
      ),
    );
  });
});
