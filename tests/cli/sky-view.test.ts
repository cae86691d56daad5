import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { skyView } from '../../src/cli/sky-view.js';
import { openModule, type Step } from '../../src/index.js';

type Epoch = Step['epoch'];
type Satellite = Epoch['satellites'][number];

let last: Epoch;
beforeAll(async () => {
  const module = await openModule({ scenario: 'bench', onEpoch: ({ epoch }) => (last = epoch) });
  module.advance(90_000);
  await module.close();
});

const FOOT = ['a foot', 'and another'];
const lines = (epoch: Epoch, columns = 80, rows = 24) =>
  skyView(epoch, { columns, rows, head: 'the head', foot: FOOT })?.text() ?? null;

/** An epoch with these satellites alone. */
function withSatellites(...satellites: readonly Partial<Satellite>[]): Epoch {
  const whole = satellites.map((each) => ({ ...(last.satellites[0] as Satellite), signals: {}, ...each }));
  return { ...last, satellites: whole };
}

const used = (id: string, azimuthDeg: number, elevationDeg: number, cn0DbHz = 40) =>
  ({ id, azimuthDeg, elevationDeg, state: 'used', signals: { 'L1 C/A': { cn0DbHz } } }) as unknown as Satellite;

/** Column and row of the first of a mark in the picture of the sky, left of the diagram. */
function find(text: readonly string[], mark: string): readonly [column: number, row: number] {
  const end = (text[1] as string).indexOf('C/N0');
  const row = text.findIndex((line, index) => index > 1 && line.slice(0, end).includes(mark));
  return [(text[row] as string).indexOf(mark), row];
}

describe('the sky in characters', () => {
  it('has north at the top, east on the right, the zenith in the middle', () => {
    const text = lines(withSatellites()) as string[];
    const [n, e, s, w, zenith] = ['N', 'E', 'S', 'W', '+'].map((mark) => find(text, mark));
    expect([n?.[0], s?.[0]]).toEqual([zenith?.[0], zenith?.[0]]);
    expect([e?.[1], w?.[1]]).toEqual([zenith?.[1], zenith?.[1]]);
    expect(n?.[1]).toBeLessThan(zenith?.[1] as number);
    expect(e?.[0]).toBeGreaterThan(zenith?.[0] as number);
  });

  it('puts a satellite where azimuth and elevation say, to one cell', () => {
    const text = lines(withSatellites()) as string[];
    const [, east, , , zenith] = ['N', 'E', 'S', 'W', '+'].map((mark) => find(text, mark));
    const [columnZ, rowZ] = zenith as readonly [number, number];
    const wide = (east as readonly [number, number])[0] - columnZ;
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 360, noNaN: true }),
        fc.double({ min: 0, max: 90, noNaN: true }),
        (az, el) => {
          const [column, row] = find(lines(withSatellites(used('G05', az, el))) as string[], '#');
          const distance = (90 - el) / 90;
          const meantColumn = columnZ + wide * distance * Math.sin((az * Math.PI) / 180);
          const meantRow = rowZ - (wide / 2) * distance * Math.cos((az * Math.PI) / 180);
          expect(Math.abs(column - meantColumn)).toBeLessThanOrEqual(1);
          expect(Math.abs(row - meantRow)).toBeLessThanOrEqual(1);
        },
      ),
    );
  });

  it('tells used, tracked, searched for and hidden apart without colour, and names each', () => {
    const states = ['used', 'tracking', 'searching', 'hidden'] as const;
    const satellites = states.map((state, k) => ({ id: `G1${k}`, azimuthDeg: 90 * k + 45, elevationDeg: 45, state }));
    const text = (lines(withSatellites(...satellites)) as string[]).join('\n');
    for (const [k, mark] of ['#', 'o', '?', 'x'].entries()) expect(text).toContain(`${mark}G1${k}`);
    expect(text).toMatch(/# used 1 +o tracked 1 +\? searched for 1 +x hidden 1/);
  });
});

describe('C/N0 against elevation', () => {
  /** Column and row of the first mark in the diagram. */
  function point(epoch: Epoch): readonly [column: number, row: number] {
    const text = lines(epoch) as string[];
    const start = (text[1] as string).indexOf('C/N0');
    const row = text.findIndex((line, index) => index > 1 && line.slice(start).includes('#'));
    return [(text[row] as string).indexOf('#', start), row];
  }

  it('goes up with C/N0 and right with elevation, and meets the marks of its axes', () => {
    const text = lines(withSatellites()) as string[];
    const row40 = text.findIndex((line) => / 40\|/.test(line));
    const row30 = text.findIndex((line) => / 30\|/.test(line));
    const axis = text.find((line) => /^ +0 +30 +60 +90$/.test(line)) as string;
    expect(row40).toBeLessThan(row30);
    expect(point(withSatellites(used('G05', 10, 0, 40)))).toEqual([axis.indexOf('0'), row40]);
    const [column, row] = point(withSatellites(used('G05', 200, 30, 30)));
    expect(row).toBe(row30);
    expect(Math.abs(column - axis.indexOf('30'))).toBeLessThanOrEqual(1);
  });

  it('has every signal of a satellite, and none that is not tracked', () => {
    const signals = { a: { cn0DbHz: 44 }, b: { cn0DbHz: 24 } } as unknown as Satellite['signals'];
    const two = lines(withSatellites({ ...used('G05', 180, 40), signals })) as string[];
    const start = (two[1] as string).indexOf('C/N0');
    const marks = (text: readonly string[]) =>
      text.slice(2, -4).filter((line) => line.slice(start).includes('#')).length;
    expect(marks(two)).toBe(2);
    expect(marks(lines(withSatellites({ ...used('G05', 180, 40), state: 'hidden' })) as string[])).toBe(0);
  });
});

describe('the room that there is', () => {
  it('is never exceeded, and head and foot are always there', () => {
    for (let columns = 40; columns <= 200; columns += 7) {
      for (let rows = 12; rows <= 60; rows += 3) {
        const text = lines(last, columns, rows);
        if (text === null) continue;
        expect(text).toHaveLength(rows);
        for (const line of text) expect(line.length).toBeLessThanOrEqual(columns);
        expect(text[0]).toBe('the head');
        for (const line of FOOT) expect(text).toContain(line);
      }
    }
  });

  it('of a usual terminal is enough, and of a small one is not', () => {
    expect(lines(last, 80, 24)).not.toBeNull();
    expect(lines(last, 120, 40)).not.toBeNull();
    expect(lines(last, 30, 24)).toBeNull();
    expect(lines(last, 80, 10)).toBeNull();
  });
});
