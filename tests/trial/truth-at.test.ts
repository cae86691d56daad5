import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { distanceM } from '../../src/statistics/distance-m.js';
import { wrap180 } from '../../src/statistics/wrap180.js';
import { truthAt } from '../../src/trial/truth-at.js';
import { scenarioOf } from '../control/helper.js';
import { epochAt } from './made.js';

/** Rounded corners are driven at constant speed: between two epochs a cubic is so near, m. */
const SIX_CENTIMETRES_M = 0.06;
const BEYOND_MS = 1000;

/** Epochs a second along the date line's both sides, as the trajectory has them, and the truth between them. */
async function drive(at: readonly [number, number], to: readonly (readonly [number, number])[]) {
  const { trajectory } = await scenarioOf({
    route: [
      { hold: '2 s', at: [...at, '20 m'] },
      { go: to, speed: '15 m/s', acceleration: '3 m/s2', 'turn-radius': '60 m' },
    ],
  });
  const truth = (tS: number) => {
    const point = trajectory.at(tS);
    return { ...epochAt(0).truth, ...point, heightEllipsoidM: 20, altitudeMslM: 20 - 30 };
  };
  const epochs = Array.from({ length: 61 }, (_, index) => epochAt(index, { truth: truth(index) as never }));
  return { epochs, trajectory };
}

describe('the truth between epochs', () => {
  it('is the epoch’s own at an epoch, and unknown far outside', async () => {
    const { epochs } = await drive(
      [47, 8],
      [
        [47.002, 8],
        [47.002, 8.004],
      ],
    );
    for (const epoch of epochs) expect(truthAt(epochs, epoch.atMs, BEYOND_MS)).toBe(epoch.truth);
    expect(truthAt(epochs, -1_001, BEYOND_MS)).toBeNull();
    expect(truthAt(epochs, 61_001, BEYOND_MS)).toBeNull();
    expect(truthAt([], 0, BEYOND_MS)).toBeNull();
    expect(truthAt([epochAt(0, { truth: null })], 500, BEYOND_MS)).toBeNull();
    expect(truthAt([epochAt(0, { truth: null }), epochAt(1)], 500, BEYOND_MS)).toBeNull();
  });

  it.each([
    [
      'in the middle of Europe',
      [47, 8] as const,
      [
        [47.002, 8],
        [47.002, 8.004],
      ] as const,
    ],
    ['across the date line', [-16.5, 179.998] as const, [[-16.5, -179.998]] as const],
    ['across the equator and Greenwich', [-0.002, -0.002] as const, [[0.002, 0.002]] as const],
    ['by the pole', [89.999, 0] as const, [[89.999, 40]] as const],
  ])('is where the antenna was, %s', async (_, at, to) => {
    const { epochs, trajectory } = await drive(at, to);
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 60_000 }), (atMs) => {
        const found = truthAt(epochs, atMs, BEYOND_MS);
        const right = trajectory.at(atMs / 1000);
        expect(found === null ? Infinity : distanceM(found, right)).toBeLessThan(SIX_CENTIMETRES_M);
        expect(found?.altitudeMslM).toBeCloseTo(-10, 3);
      }),
      { numRuns: 300 },
    );
  });

  it('has speed and course between those of its epochs, and at rest the course last held', () => {
    const truth = (courseDeg: number, speedMps: number) => ({ ...epochAt(0).truth, courseDeg, speedMps }) as never;
    const north = epochAt(0, { truth: truth(359, 10) });
    const metresPerDeg = 111_170;
    const on = { ...epochAt(0).truth, latitudeDeg: 47 + 10 / metresPerDeg, courseDeg: 1, speedMps: 10 } as never;
    const found = truthAt([north, epochAt(1, { truth: on })], 500, BEYOND_MS);
    expect(Math.abs(wrap180(found?.courseDeg ?? 90))).toBeLessThan(1);
    expect(found?.speedMps).toBeCloseTo(10, 1);
    const rest = truthAt([epochAt(0, { truth: truth(77, 0) }), epochAt(1, { truth: truth(77, 0) })], 500, BEYOND_MS);
    expect(rest?.courseDeg).toBe(77);
  });
});
