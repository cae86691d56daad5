import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Dot, pathThrough, thinByCell, thinByColumn, thinByDistance } from '../../src/report/lines.js';

const DOTS: fc.Arbitrary<Dot[]> = fc.array(
  fc.option(
    fc.record({ x: fc.double({ min: 0, max: 100, noNaN: true }), y: fc.double({ min: 0, max: 100, noNaN: true }) }),
    { freq: 8, nil: null },
  ),
  { maxLength: 200 },
);
const shown = (dots: readonly Dot[]) => dots.filter((dot) => dot !== null);

describe('a path', () => {
  it('is broken where there is nothing, and a lone point still shows', () => {
    expect(pathThrough([{ x: 0, y: 1 }, { x: 2, y: 3 }, null, { x: 5, y: 5 }])).toBe('M0,1L2,3M5,5Z');
    expect(pathThrough([])).toBe('');
  });
});

describe('thinning by column', () => {
  it('loses neither the highest nor the lowest point, and adds none', () => {
    fc.assert(
      fc.property(DOTS, (dots) => {
        const ordered = dots.map((dot, i) => (dot === null ? null : { x: i / 3, y: dot.y }));
        const kept = thinByColumn(ordered, 5);
        const heights = (list: readonly Dot[]) => shown(list).map(({ y }) => y);
        expect(Math.max(...heights(kept))).toBe(Math.max(...heights(ordered)));
        expect(Math.min(...heights(kept))).toBe(Math.min(...heights(ordered)));
        for (const dot of shown(kept)) expect(ordered).toContain(dot);
      }),
    );
  });

  it('of a hundred thousand points keeps four a column', () => {
    const dots = Array.from({ length: 100_000 }, (_, i) => ({ x: i / 250, y: Math.sin(i) }));
    expect(thinByColumn(dots, 2).length).toBeLessThanOrEqual(4 * 200);
  });

  it('keeps every gap that has points on both sides', () => {
    const dots: Dot[] = [{ x: 0, y: 0 }, null, { x: 0.1, y: 1 }, null, null, { x: 0.2, y: 2 }];
    expect(thinByColumn(dots, 5)).toEqual([{ x: 0, y: 0 }, null, { x: 0.1, y: 1 }, null, { x: 0.2, y: 2 }]);
  });
});

describe('thinning by distance and by cell', () => {
  it('leaves every point within reach of one that is kept', () => {
    fc.assert(
      fc.property(DOTS, (dots) => {
        const near = (kept: readonly Dot[], reach: number) => {
          for (const dot of shown(dots)) {
            const closest = Math.min(...shown(kept).map(({ x, y }) => Math.hypot(x - dot.x, y - dot.y)));
            expect(closest).toBeLessThanOrEqual(reach);
          }
        };
        near(thinByDistance(dots, 3), 3);
        near(thinByCell(shown(dots), 3), 3 * Math.SQRT2);
      }),
    );
  });

  it('keeps both ends of each part', () => {
    const dots: Dot[] = [{ x: 0, y: 0 }, { x: 0.1, y: 0 }, { x: 0.2, y: 0 }, null, { x: 0.3, y: 0 }];
    expect(thinByDistance(dots, 10)).toEqual([{ x: 0, y: 0 }, { x: 0.2, y: 0 }, null, { x: 0.3, y: 0 }]);
  });
});
