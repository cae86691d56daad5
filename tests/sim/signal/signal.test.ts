import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic } from '../../../src/base/frames.js';
import { RandomStreams } from '../../../src/base/random.js';
import { gpsFromUtc, parseUtc } from '../../../src/base/time.js';
import type { ArrivingSignal } from '../../../src/sim/signal/arriving-signal.js';
import { Signals } from '../../../src/sim/signal/signal.js';
import { type Band, signalsOf } from '../../../src/sim/signal/signal-kind.js';
import { referenceSatellites } from '../../../src/sim/sky/constellations/index.js';
import type { Satellite } from '../../../src/sim/sky/orbit.js';
import { Sky } from '../../../src/sim/sky/sky.js';
import { SYSTEM_NAMES, type SystemName, systemOf } from '../../../src/sim/sky/system.js';
import type { Surroundings } from '../../../src/sim/surroundings.js';
import { satelliteOf, viewAt } from './sky-of.js';

const DEG = Math.PI / 180;
const PLACE = {
  position: ecefFromGeodetic({ latitudeDeg: 52, longitudeDeg: 4, heightM: 0 }),
  velocity: { xM: 0, yM: 0, zM: 0 },
  latitudeRad: 52 * DEG,
  longitudeRad: 4 * DEG,
};
const START = gpsFromUtc(parseUtc('2022-02-18T09:30:00Z'));
const OPEN: Surroundings = { kind: 'open' };
const TUNNEL: Surroundings = { kind: 'tunnel' };
const FOREST: Surroundings = { kind: 'forest', canopyM: 15, lossDbPerM: 0.5 };
const TWO_BANDS: readonly Band[] = ['L1', 'L5'];

type Heard = Array<{ id: string; name: string; cn0DbHz: number; elevationDeg: number }>;

interface Listening {
  readonly surroundings?: (i: number) => Surroundings;
  readonly satellites?: Satellite[];
  readonly bands?: readonly Band[];
}

const reference = (systems: readonly SystemName[]) => referenceSatellites(systems, START);

function listen(
  count: number,
  { surroundings = () => OPEN, satellites = reference(['gps']), bands = ['L1'] }: Listening = {},
): Heard[] {
  const sky = new Sky(satellites);
  const inOrder = sky.views.map(({ satellite }) => satellite);
  const signals = new Signals(inOrder, 'good', bands, new RandomStreams(2), { lengthS: 1 });
  const arriving: ArrivingSignal[] = [];
  return Array.from({ length: count }, (_, i) => {
    sky.look(i, PLACE);
    signals.arriving(sky.views, { surroundings: surroundings(i), courseDeg: 0, speedMps: 0 }, arriving);
    return arriving.map(({ id, kind, cn0DbHz, elevationDeg }) => ({ id, name: kind.name, cn0DbHz, elevationDeg }));
  });
}

/** One satellite standing still, and what is heard of it over many epochs. */
class Still {
  readonly view = viewAt(100, 40);
  readonly out: ArrivingSignal[] = [];
  readonly #signals: Signals;

  constructor(bands: readonly Band[] = ['L1'], seed = 3) {
    this.#signals = new Signals([satelliteOf('G01')], 'good', bands, new RandomStreams(seed), { lengthS: 1 });
  }

  levels(count: number, speedMps: number, surroundings = OPEN): number[] {
    return Array.from({ length: count }, () => {
      this.#signals.arriving([this.view], { surroundings, courseDeg: 0, speedMps }, this.out);
      return this.out[0]?.cn0DbHz as number;
    });
  }
}

/** Correlation of each value with the next. */
function nextCorrelation(values: readonly number[]): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  let [square, product] = [0, 0];
  for (const [i, value] of values.entries()) {
    square += (value - mean) ** 2;
    if (i > 0) product += (value - mean) * ((values[i - 1] as number) - mean);
  }
  return product / square;
}

function deviation(values: readonly number[]): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
}

describe('arriving signals', () => {
  it('are those of satellites above the horizon, in order, whatever the order of the sky', () => {
    const [heard] = listen(1);
    const [reversed] = listen(1, { satellites: reference(['gps']).reverse() });
    expect(reversed).toEqual(heard);
    const ids = heard!.map(({ id }) => id);
    expect(ids).toEqual([...ids].sort());
    expect(ids.length).toBeGreaterThan(5);
    expect(heard!.every(({ elevationDeg }) => elevationDeg > 0)).toBe(true);
  });

  it.each([[['L1'] as const], [['L1', 'L5'] as const], [['L1', 'L2'] as const]])(
    'of all systems with bands %s: each satellite’s signals together, its first one first',
    (bands) => {
      const [heard] = listen(1, { satellites: reference(SYSTEM_NAMES), bands });
      const ids = [...new Set(heard!.map(({ id }) => id))];
      const expected = ids.flatMap((id) => signalsOf(systemOf(id), bands).map(({ name }) => [id, name]));
      expect(heard!.map(({ id, name }) => [id, name])).toEqual(expected);
      const systems = new Set(ids.map(systemOf));
      // NavIC sends nothing in the upper band, and its satellites are heard from here only low in the east.
      expect(systems.has('navic')).toBe(
        (bands as readonly Band[]).includes('L5') && ids.some((id) => id.startsWith('I')),
      );
      for (const system of ['gps', 'glonass', 'galileo', 'beidou'] as const) expect(systems.has(system)).toBe(true);
    },
  );

  it('in a tunnel nothing arrives; afterwards the fading goes on as if it had been open sky', () => {
    const open = listen(20);
    const through = listen(20, { surroundings: (i) => (i >= 5 && i < 15 ? TUNNEL : OPEN) });
    for (const [i, signals] of through.entries()) {
      if (i >= 5 && i < 15) expect(signals.every(({ cn0DbHz }) => cn0DbHz === -Infinity)).toBe(true);
      else expect(signals).toEqual(open[i]);
    }
  });

  it('a forest weakens all of a satellite’s signals alike, and leaves no trace afterwards', () => {
    const satellites = reference(['gps', 'galileo']);
    const open = listen(20, { satellites, bands: TWO_BANDS });
    const surroundings = (i: number) => (i >= 5 && i < 15 ? FOREST : OPEN);
    const through = listen(20, { satellites, bands: TWO_BANDS, surroundings });
    /** Differences of doubles near 50. */
    const ARITHMETIC_DB = 1e-9;
    for (const [i, signals] of through.entries()) {
      const losses = signals.map(({ cn0DbHz }, k) => open[i]![k]!.cn0DbHz - cn0DbHz);
      if (i < 5 || i >= 15) expect(losses.every((loss) => loss === 0)).toBe(true);
      for (let k = 1; k < signals.length; k++) {
        if (signals[k]!.id !== signals[k - 1]!.id) continue;
        expect(Math.abs(losses[k]! - losses[k - 1]!)).toBeLessThan(ARITHMETIC_DB);
      }
    }
  });

  it('a satellite or a system more or less does not move the others’ fading', () => {
    const all = listen(10);
    const gone = all[0]![2]!.id;
    const without = listen(10, { satellites: reference(['gps']).filter(({ id }) => id !== gone) });
    for (const [i, signals] of without.entries()) expect(signals).toEqual(all[i]!.filter(({ id }) => id !== gone));
    const four = listen(10, { satellites: reference(SYSTEM_NAMES), bands: TWO_BANDS });
    for (const [i, signals] of four.entries()) {
      expect(signals.filter(({ id, name }) => id.startsWith('G') && name === 'L1')).toEqual(all[i]);
    }
  });

  it('begin each epoch without what a fault did to them', () => {
    const still = new Still(TWO_BANDS);
    still.levels(1, 0);
    for (const signal of still.out) {
      Object.assign(signal, {
        cn0DbHz: -Infinity,
        multipathScale: 9,
        detourM: 9,
        falseRangeM: 9,
        falseRangeRateMps: 9,
      });
    }
    still.levels(1, 0);
    for (const { cn0DbHz, multipathScale, detourM, falseRangeM, falseRangeRateMps } of still.out) {
      expect(Number.isFinite(cn0DbHz)).toBe(true);
      expect([multipathScale, detourM, falseRangeM, falseRangeRateMps]).toEqual([1, 0, 0, 0]);
    }
  });
});

describe('fading', () => {
  /** Twenty thousand seconds are 300 correlation times at rest: 1 / sqrt(2 * 300) of the deviation, three times. */
  const REST_SHARE = 0.13;

  it('at rest is slow: from second to second by a fraction of what it varies over minutes', () => {
    const levels = new Still().levels(20_000, 0);
    const steps = levels.slice(1).map((level, i) => Math.abs(level - levels[i]!));
    expect(Math.max(...steps)).toBeLessThan(0.5);
    expect(nextCorrelation(levels)).toBeGreaterThan(0.97);
    // Measured at 40 deg by a geodetic receiver: 0.8 dB within a bin 5 deg wide.
    expect(Math.abs(deviation(levels) / 0.76 - 1)).toBeLessThan(REST_SHARE);
  });

  it('under way is another after some metres, with the same deviation', () => {
    const levels = new Still().levels(20_000, 30);
    expect(nextCorrelation(levels)).toBeLessThan(0.1);
    expect(Math.abs(deviation(levels) / 0.76 - 1)).toBeLessThan(0.03);
  });

  it('in a forest is larger, quick while moving and slow at rest', () => {
    const [rest, moving] = [new Still().levels(5000, 0, FOREST), new Still().levels(5000, 5, FOREST)];
    expect(deviation(moving)).toBeGreaterThan(2);
    expect(nextCorrelation(rest)).toBeGreaterThan(0.85);
    expect(nextCorrelation(moving)).toBeLessThan(0.3);
  });

  it('is in part common to a satellite’s bands', () => {
    const still = new Still(TWO_BANDS);
    const pairs = Array.from({ length: 5000 }, () => {
      still.levels(1, 30);
      return still.out.map(({ cn0DbHz }) => cn0DbHz) as [number, number];
    });
    const [a, b] = [pairs.map(([first]) => first), pairs.map(([, second]) => second)];
    const sum = deviation(a.map((level, i) => level + b[i]!));
    const correlation = (sum ** 2 - deviation(a) ** 2 - deviation(b) ** 2) / (2 * deviation(a) * deviation(b));
    expect(Math.abs(correlation - 0.8)).toBeLessThan(0.03);
  });
});

describe('any sky, place and speed', () => {
  it('gives finite C/N0 or none, never NaN', () => {
    const canyon: Surroundings = {
      kind: 'street-canyon',
      widthM: 20,
      leftHeightM: 30,
      rightHeightM: 10,
      directionDeg: null,
    };
    const kinds: Surroundings[] = [OPEN, TUNNEL, FOREST, canyon, { kind: 'indoors', roofDb: 18, wallDb: 25 }];
    const signals = new Signals([satelliteOf('E07')], 'poor', ['L1', 'L2', 'L5'], new RandomStreams(1), {
      lengthS: 0.1,
    });
    const view = viewAt(0, 0, 'E07');
    const out: ArrivingSignal[] = [];
    fc.assert(
      fc.property(
        fc.constantFrom(...kinds),
        fc.double({ min: -1, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 360, noNaN: true }),
        fc.double({ min: 0, max: 1000, noNaN: true }),
        (surroundings, sine, azimuthDeg, speedMps) => {
          view.sinElevation = sine;
          view.elevationDeg = Math.asin(sine) / DEG;
          view.azimuthDeg = azimuthDeg;
          signals.arriving([view], { surroundings, courseDeg: azimuthDeg / 2, speedMps }, out);
          expect(out.length).toBe(sine > 0 ? 3 : 0);
          for (const { cn0DbHz } of out) {
            expect(surroundings === TUNNEL ? cn0DbHz === -Infinity : Number.isFinite(cn0DbHz)).toBe(true);
          }
        },
      ),
      { numRuns: 500 },
    );
  });
});
