import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { RandomStreams } from '../../../src/base/random.js';
import { correlationS } from '../../../src/sim/signal/correlation.js';
import { obstructionOf } from '../../../src/sim/signal/obstruction/index.js';
import { knifeEdgeLossDb } from '../../../src/sim/signal/obstruction/knife-edge.js';
import type { Passage } from '../../../src/sim/signal/obstruction/obstruction.js';
import type { Surroundings } from '../../../src/sim/surroundings.js';
import { viewAt } from './sky-of.js';

const DEG = Math.PI / 180;
const EXACT = 1e-9;
/** A shadow is deep two degrees behind an edge, and light is full one degree above it. */
const DEEP_DEG = 2;
const CLEAR_DEG = 1;
const DEEP_DB = 15;

interface Ray {
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly fade?: number;
  readonly courseDeg?: number;
}

function passage(surroundings: Surroundings, { azimuthDeg, elevationDeg, fade = 0, courseDeg = 0 }: Ray): Passage {
  const obstruction = obstructionOf(surroundings, new RandomStreams(1));
  const out: Passage = { lossDb: Number.NaN, multipathScale: Number.NaN, detourM: Number.NaN };
  obstruction.begin({ courseDeg, speedMps: 0 });
  obstruction.pass(viewAt(azimuthDeg, elevationDeg), fade, out);
  return out;
}

const CANYON = { kind: 'street-canyon', widthM: 20, leftHeightM: 20, rightHeightM: 20, directionDeg: 0 } as const;

describe('a knife edge', () => {
  it('ITU-R P.526-15, figure 9 (from memory): 6 dB at the edge, 0 where the parameter is -0.78; 13 dB at 1 and 20 dB at 2.4', () => {
    const perDeg = DEG * Math.sqrt((2 * 1000) / (299_792_458 / 1_575_420_000));
    const PRINTED_DB = 0.6;
    const FIGURE = [
      [0, 6],
      [-0.78, 0],
      [1, 13.5],
      [2.4, 20.4],
    ] as const;
    for (const [v, lossDb] of FIGURE) expect(Math.abs(knifeEdgeLossDb(v / perDeg) - lossDb)).toBeLessThan(PRINTED_DB);
  });

  it('never lets more through the deeper the shadow', () => {
    const angle = fc.double({ min: -90, max: 90, noNaN: true });
    fc.assert(
      fc.property(angle, angle, (a, b) => {
        const [high, low] = [knifeEdgeLossDb(Math.min(a, b)), knifeEdgeLossDb(Math.max(a, b))];
        expect(high >= 0 && high <= low + EXACT).toBe(true);
      }),
    );
  });
});

describe('open sky and tunnel', () => {
  it('take nothing and all', () => {
    const ray = { azimuthDeg: 40, elevationDeg: 30 };
    expect(passage({ kind: 'open' }, ray)).toEqual({ lossDb: 0, multipathScale: 1, detourM: 0 });
    expect(passage({ kind: 'tunnel' }, ray)).toEqual({ lossDb: Infinity, multipathScale: 1, detourM: 0 });
  });
});

describe('a horizon profile', () => {
  const points = [
    [0, 5],
    [90, 25],
    [180, 10],
    [300, 40],
  ] as const;

  it.each([
    [0, 5],
    [45, 15],
    [90, 25],
    [135, 17.5],
    [240, 25],
    [330, 22.5],
    [359.99, 5],
  ])('at azimuth %d stands at %d deg', (azimuthDeg, horizonDeg) => {
    const lossDb = (elevationDeg: number) => passage({ kind: 'horizon', points }, { azimuthDeg, elevationDeg }).lossDb;
    expect(lossDb(horizonDeg + CLEAR_DEG)).toBe(0);
    expect(lossDb(horizonDeg - DEEP_DEG)).toBeGreaterThan(DEEP_DB);
    expect(Math.abs(lossDb(horizonDeg) - 6)).toBeLessThan(0.5);
  });

  it('may begin at 0 and end at 360, and needs no more than one point', () => {
    const ends = {
      kind: 'horizon',
      points: [
        [0, 10],
        [180, 30],
        [360, 10],
      ],
    } as const;
    expect(passage(ends, { azimuthDeg: 270, elevationDeg: 21.1 }).lossDb).toBe(0);
    expect(passage(ends, { azimuthDeg: 270, elevationDeg: 18 }).lossDb).toBeGreaterThan(DEEP_DB);
    for (const azimuthDeg of [0, 10, 100, 359, 360]) {
      const flat = { kind: 'horizon', points: [[10, 20]] } as const;
      expect(passage(flat, { azimuthDeg, elevationDeg: 21.1 }).lossDb).toBe(0);
      expect(passage(flat, { azimuthDeg, elevationDeg: 18 }).lossDb).toBeGreaterThan(DEEP_DB);
    }
  });
});

describe('a street canyon', () => {
  it('blocks across the street up to the facade’s top, and not along it', () => {
    // Facades 20 m high, 10 m away: atan(20 / 10) = 63.4 deg at right angles.
    const top = Math.atan(20 / 10) / DEG;
    for (const azimuthDeg of [90, 270]) {
      expect(passage(CANYON, { azimuthDeg, elevationDeg: top + CLEAR_DEG }).lossDb).toBe(0);
      expect(passage(CANYON, { azimuthDeg, elevationDeg: top - DEEP_DEG }).lossDb).toBeGreaterThanOrEqual(DEEP_DB);
    }
    for (const azimuthDeg of [0, 180]) expect(passage(CANYON, { azimuthDeg, elevationDeg: 3 }).lossDb).toBe(0);
  });

  it('stands lower in a slanting direction: the facade is farther away there', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 5, max: 60 }),
        fc.integer({ min: 5, max: 80 }),
        fc.integer({ min: 5, max: 80 }),
        fc.integer({ min: 0, max: 359 }),
        fc.integer({ min: 10, max: 170 }),
        (widthM, leftHeightM, rightHeightM, directionDeg, offDeg) => {
          const street = { kind: 'street-canyon', widthM, leftHeightM, rightHeightM, directionDeg } as const;
          for (const [side, heightM] of [
            [1, rightHeightM],
            [-1, leftHeightM],
          ] as const) {
            const azimuthDeg = (directionDeg + side * offDeg + 360) % 360;
            const awayM = widthM / 2 / Math.sin(offDeg * DEG);
            const top = Math.atan2(heightM, awayM) / DEG;
            if (top < 89) expect(passage(street, { azimuthDeg, elevationDeg: top + CLEAR_DEG }).lossDb).toBe(0);
            const below = top - DEEP_DEG;
            if (below > 0) {
              expect(passage(street, { azimuthDeg, elevationDeg: below }).lossDb).toBeGreaterThanOrEqual(DEEP_DB);
            }
          }
        },
      ),
    );
  });

  it('follows the antenna’s course where it has no direction of its own', () => {
    const street = { ...CANYON, directionDeg: null };
    const ray = { azimuthDeg: 90, elevationDeg: 30 };
    expect(passage(street, { ...ray, courseDeg: 0 }).lossDb).toBeGreaterThanOrEqual(DEEP_DB);
    expect(passage(street, { ...ray, courseDeg: 90 }).lossDb).toBe(0);
    expect(passage(CANYON, { ...ray, courseDeg: 90 }).lossDb).toBeGreaterThanOrEqual(DEEP_DB);
  });

  it('reflects a blocked satellite from the facade opposite, later by what the mirror image says', () => {
    const [azimuthDeg, elevationDeg] = [70, 45];
    const { lossDb, detourM, multipathScale } = passage(CANYON, { azimuthDeg, elevationDeg });
    expect(lossDb).toBe(20);
    expect(multipathScale).toBeGreaterThan(1);
    // The street runs north; the antenna's image behind the western facade is 20 m to the west.
    const toSatellite = [Math.cos(elevationDeg * DEG) * Math.sin(azimuthDeg * DEG), 0];
    const image = [-20, 0];
    const expected = -(image[0]! * toSatellite[0]!);
    expect(Math.abs(detourM - expected)).toBeLessThan(EXACT);
  });

  it('reflects only where the facade opposite is high enough, and where the ray comes in over the first', () => {
    // To the west 10 m at 45 deg: the ray strikes 10 m up, and was 30 m up over the eastern facade.
    const ray = { azimuthDeg: 90, elevationDeg: 45 };
    expect(passage({ ...CANYON, leftHeightM: 9.9 }, ray).detourM).toBe(0);
    expect(passage({ ...CANYON, leftHeightM: 10.1 }, ray).detourM).toBeGreaterThan(0);
    expect(passage({ ...CANYON, leftHeightM: 9.9 }, ray).lossDb).toBeGreaterThan(25);
    expect(passage({ ...CANYON, rightHeightM: 29.9 }, ray).detourM).toBeGreaterThan(0);
    expect(passage({ ...CANYON, rightHeightM: 30.1 }, ray).detourM).toBe(0);
  });

  it('a reflection is 15 to 25 dB weaker whatever the fading; a satellite in view has larger multipath', () => {
    for (const fade of [-5, -1, 0, 1, 5]) {
      const { lossDb } = passage(CANYON, { azimuthDeg: 90, elevationDeg: 45, fade });
      expect(lossDb >= 15 && lossDb <= 25).toBe(true);
    }
    expect(passage(CANYON, { azimuthDeg: 0, elevationDeg: 45 }).multipathScale).toBeGreaterThan(1);
  });
});

describe('a forest', () => {
  const forest = { kind: 'forest', canopyM: 15, lossDbPerM: 0.5 } as const;
  const lossDb = (elevationDeg: number, fade = 0) => passage(forest, { azimuthDeg: 0, elevationDeg, fade }).lossDb;

  it('takes more the lower the satellite: ITU-R P.833-9, equation 1, with 27 dB at most (from memory)', () => {
    for (const elevationDeg of [90, 60, 30, 15, 5]) {
      const wayM = 15 / Math.sin(elevationDeg * DEG);
      const expected = 27 * (1 - Math.exp((-wayM * 0.5) / 27));
      expect(Math.abs(lossDb(elevationDeg) - expected)).toBeLessThan(EXACT);
    }
    expect(lossDb(10)).toBeGreaterThan(lossDb(60) + 10);
    expect(lossDb(0.01)).toBeLessThanOrEqual(27);
  });

  it('fades by a few dB, and never amplifies', () => {
    expect(lossDb(30, 1) - lossDb(30, -1)).toBeGreaterThan(2);
    expect(lossDb(30, 1) - lossDb(30, -1)).toBeLessThan(10);
    expect(lossDb(90, -10)).toBe(0);
  });
});

describe('indoors', () => {
  const room = { kind: 'indoors', roofDb: 18, wallDb: 40 } as const;

  it('takes the roof’s loss overhead and the walls’ low down, more through one wall than another', () => {
    expect(Math.abs(passage(room, { azimuthDeg: 0, elevationDeg: 90 }).lossDb - 18)).toBeLessThan(EXACT);
    const walls = Array.from({ length: 36 }, (_, i) => passage(room, { azimuthDeg: i * 10, elevationDeg: 1 }).lossDb);
    const mean = walls.reduce((sum, loss) => sum + loss, 0) / walls.length;
    /** Twelve sectors of 5 dB each: the mean is within 3 standard deviations. */
    const MEAN_DB = (3 * 5) / Math.sqrt(12);
    expect(Math.abs(mean - 40)).toBeLessThan(MEAN_DB);
    expect(Math.max(...walls) - Math.min(...walls)).toBeGreaterThan(5);
  });

  it('has windows where the seed puts them, and strong reflections', () => {
    const ray = { azimuthDeg: 77, elevationDeg: 20 };
    expect(passage(room, ray)).toEqual(passage(room, ray));
    expect(passage(room, ray).multipathScale).toBeGreaterThan(3);
  });
});

describe('every kind of surroundings', () => {
  const ANY = fc.oneof(
    fc.constantFrom<Surroundings>({ kind: 'open' }, { kind: 'tunnel' }),
    fc.uniqueArray(fc.integer({ min: 0, max: 360 }), { minLength: 1, maxLength: 8 }).map(
      (azimuths): Surroundings => ({
        kind: 'horizon',
        points: azimuths.sort((a, b) => a - b).map((azimuth) => [azimuth, (azimuth * 7) % 90] as const),
      }),
    ),
    fc.record({
      kind: fc.constant('street-canyon' as const),
      widthM: fc.double({ min: 1e-3, max: 1000, noNaN: true }),
      leftHeightM: fc.double({ min: 0, max: 1000, noNaN: true }),
      rightHeightM: fc.double({ min: 0, max: 1000, noNaN: true }),
      directionDeg: fc.option(fc.double({ min: 0, max: 360, noNaN: true })),
    }),
    fc.record({
      kind: fc.constant('forest' as const),
      canopyM: fc.double({ min: 1e-6, max: 100, noNaN: true }),
      lossDbPerM: fc.double({ min: 0, max: 10, noNaN: true }),
    }),
    fc.record({
      kind: fc.constant('indoors' as const),
      roofDb: fc.double({ min: 0, max: 100, noNaN: true }),
      wallDb: fc.double({ min: 0, max: 100, noNaN: true }),
    }),
  );

  it('gives a loss of 0 or more, a scale of 1 or more and a way round of 0 or more', () => {
    fc.assert(
      fc.property(
        ANY,
        fc.double({ min: 0, max: 360, noNaN: true }),
        fc.double({ min: 1e-9, max: 90, noNaN: true }),
        fc.double({ min: -6, max: 6, noNaN: true }),
        fc.double({ min: 0, max: 360, maxExcluded: true, noNaN: true }),
        (surroundings, azimuthDeg, elevationDeg, fade, courseDeg) => {
          const { lossDb, multipathScale, detourM } = passage(surroundings, {
            azimuthDeg,
            elevationDeg,
            fade,
            courseDeg,
          });
          expect(lossDb).toBeGreaterThanOrEqual(0);
          expect(multipathScale).toBeGreaterThanOrEqual(1);
          expect(detourM >= 0 && Number.isFinite(detourM)).toBe(true);
        },
      ),
      { numRuns: 500 },
    );
  });
});

describe('the time in which fading changes', () => {
  it('is a time at rest and a way while moving', () => {
    expect(correlationS({ restS: 60, wayM: 10 }, 0)).toBe(60);
    const fast = correlationS({ restS: 60, wayM: 10 }, 20);
    expect(fast).toBeLessThan(0.5);
    expect(Math.abs(fast - 1 / (1 / 60 + 2))).toBeLessThan(EXACT);
  });
});
