import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drawingOf, thinned } from '../../src/trial/drawing.js';
import { epochAt, madeEvidence, saidAt } from './made.js';

const MOST = 2000;

describe('a drawing', () => {
  it('has truth, module and reports, with errors where they are known', () => {
    const epochs = [
      epochAt(0, {}, { latitudeDeg: 47.0001 }),
      epochAt(1, { truth: null }),
      epochAt(2, {}, { latitudeDeg: null, longitudeDeg: null, status: 'V' }),
      epochAt(3, {}, { status: 'V' }),
    ];
    const reports = [
      saidAt(400, { latitudeDeg: 47.0001, longitudeDeg: 8 }, 0),
      saidAt(1_400, { latitudeDeg: 47, longitudeDeg: 8 }, 1),
      saidAt(2_400, { latitudeDeg: 47, longitudeDeg: 8 }, 2),
      saidAt(2_500, { latitudeDeg: 47, longitudeDeg: 8, hasFix: false }, 3),
      saidAt(2_600, { hasFix: true }, 4),
    ];
    const drawing = drawingOf(madeEvidence({ epochs, reports }));
    expect(drawing.truth.map(({ atMs }) => atMs)).toEqual([0, 2_000, 3_000]);
    expect(drawing.module.map(({ atMs }) => atMs)).toEqual([0, 1_000]);
    expect(drawing.reports.map(({ atMs }) => atMs)).toEqual([400, 1_400, 2_400]);
    // A ten thousandth of a degree of latitude at 47 degrees: 11.117 m (WGS-84, meridian radius 6,369.6 km).
    expect(drawing.reports[0]?.truthErrorM).toBeCloseTo(11.117, 2);
    expect(drawing.reports[0]?.moduleErrorM).toBe(0);
    expect(drawing.reports[1]).toMatchObject({ truthErrorM: null, moduleErrorM: 0 });
    expect(drawing.reports[2]).toMatchObject({ truthErrorM: 0, moduleErrorM: null });
  });

  it('of a long case keeps 2,000 points at most, its largest error among them', () => {
    const seconds = 20_000;
    const reports = Array.from({ length: seconds }, (_, i) =>
      saidAt(i * 1000 + 400, { latitudeDeg: i === 12_345 ? 47.5 : 47 + (i % 7) / 1e6, longitudeDeg: 8 }, i),
    );
    const drawing = drawingOf(madeEvidence({ reports }, seconds));
    for (const list of [drawing.truth, drawing.module, drawing.reports]) {
      expect(list.length).toBeLessThanOrEqual(MOST);
      expect(list.map(({ atMs }) => atMs)).toEqual([...list.map(({ atMs }) => atMs)].sort((a, b) => a - b));
    }
    expect(drawing.reports.filter(({ truthErrorM }) => (truthErrorM ?? 0) > 1000)).toHaveLength(1);
    expect(drawing.truth[0]?.atMs).toBe(0);
    expect(drawing.truth.at(-1)?.atMs).toBe((seconds - 1) * 1000);
  });

  it('keeps first, last and extremes of any list, in its order', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer(), { minLength: 1, maxLength: 300 }),
        fc.integer({ min: 10, max: 40 }),
        (list, most) => {
          const kept = thinned(
            list.map((value, place) => ({ value, place })),
            most,
            [({ value }) => value, ({ value }) => -value],
          );
          expect(kept.length).toBeLessThanOrEqual(most);
          const places = kept.map(({ place }) => place);
          expect(places).toEqual([...new Set(places)].sort((a, b) => a - b));
          expect([places[0], places.at(-1)]).toEqual([0, list.length - 1]);
          const values = kept.map(({ value }) => value);
          expect([Math.min(...values), Math.max(...values)]).toEqual([Math.min(...list), Math.max(...list)]);
        },
      ),
    );
  });
});
