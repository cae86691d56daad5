import { describe, expect, it } from 'vitest';
import { KNOT_MPS } from '../../src/base/constants.js';
import { geodesicBetween } from '../../src/sim/trajectory/geodesy.js';
import { type EpochLine, linesOf, type Played } from '../run/helper.js';
import { expectSameSentences, fieldsOf, named, withAndWithout } from './helper.js';

/** The geodesic library's own closure, far below what a sentence shows. */
const MILLIMETRE = 1e-3;
const MICRODEGREE = 1e-6;

/** From where the module would be to where it says it is, epoch by epoch. */
function jumps(struck: Played, plain: Played) {
  const right = linesOf(plain.journal, 'epoch');
  return linesOf(struck.journal, 'epoch').map((epoch, i) => {
    const leg = geodesicBetween(placeOf(right[i] as EpochLine), placeOf(epoch));
    return { lengthM: leg.lengthM, azimuthDeg: leg.startAzimuthDeg };
  });
}

function placeOf({ report }: EpochLine) {
  return { latitudeDeg: report.latitudeDeg as number, longitudeDeg: report.longitudeDeg as number };
}

const jump = (settings: object, duration = '4 s') => [
  { at: '20 s', for: duration, fault: 'position-jump', with: settings },
];

describe('position-jump', () => {
  it('is 30 km off for three seconds, to one side by chance, and comes back', async () => {
    const { struck, plain } = await withAndWithout([{ at: '20 s', fault: 'position-jump' }]);
    const found = jumps(struck, plain);
    const side = found[20]?.azimuthDeg as number;
    for (const [i, { lengthM, azimuthDeg }] of found.entries()) {
      const isOut = i >= 20 && i < 23;
      expect(Math.abs(lengthM - (isOut ? 30_000 : 0))).toBeLessThan(MILLIMETRE);
      if (isOut) expect(Math.abs(azimuthDeg - side)).toBeLessThan(MICRODEGREE);
    }
    expectSameSentences(struck, plain, 23);
    const again = await withAndWithout([
      { at: '20 s', fault: 'position-jump' },
      { at: '30 s', fault: 'position-jump' },
    ]);
    const both = jumps(again.struck, again.plain);
    expect(both[20]?.azimuthDeg).toBe(side);
    expect(both[30]?.azimuthDeg).not.toBe(side);
  });

  it('goes as far and to the side that is set, across the date line too', async () => {
    for (const [distance, metres, direction, at] of [
      ['250 m', 250, 0, [47.1, 8.2]],
      ['80 NM', 148_160, 90, [-17, 179.7]],
      ['5000 km', 5_000_000, 271.5, [60, -150]],
    ] as const) {
      const more = { route: [{ hold: '30 s', at: [...at] }], duration: '30 s' };
      const { struck, plain } = await withAndWithout(jump({ distance, direction: `${direction} deg` }), more);
      const { lengthM, azimuthDeg } = jumps(struck, plain)[21] as ReturnType<typeof jumps>[0];
      expect(Math.abs(lengthM - metres)).toBeLessThan(MILLIMETRE);
      expect(Math.abs(((azimuthDeg + 360) % 360) - direction)).toBeLessThan(MICRODEGREE);
      const longitude = linesOf(struck.journal, 'epoch')[21]?.report.longitudeDeg as number;
      expect(longitude >= -180 && longitude < 180).toBe(true);
    }
  });

  it('leaves speed and course as they were, or shows the way out and the way back in them', async () => {
    const east = { distance: '30 km', direction: '90 deg' };
    const speeds = async (settings: object, module: object) => {
      const { struck, plain } = await withAndWithout(jump(settings), { module, duration: '30 s' });
      return { struck, plain, found: jumps(struck, plain) };
    };
    const still = await speeds(east, {});
    expect(named(still.struck.journal, 'VTG').map(({ text }) => text)).toEqual(
      named(still.plain.journal, 'VTG').map(({ text }) => text),
    );
    const { struck, plain, found } = await speeds({ ...east, 'with-speed': true }, {});
    const epochs = linesOf(struck.journal, 'epoch');
    const right = linesOf(plain.journal, 'epoch');
    expect([20, 21, 22, 23, 24].map((i) => Math.round(found[i]?.lengthM as number))).toEqual([
      30_000, 30_000, 30_000, 0, 0,
    ]);
    expect(epochs[20]?.report.speedMps).toBe(30_000);
    expect(epochs[21]?.report.speedMps).toBe(right[21]?.report.speedMps);
    expect(epochs[23]?.report.speedMps).toBe(30_000);
    expect(epochs[24]?.report.speedMps).toBe(right[24]?.report.speedMps);
    // On this latitude the geodesic turns by 0.29 deg in 30 km: longitude times the sine of the latitude.
    expect(Math.abs((epochs[20]?.report.courseDeg as number) - 90.29)).toBeLessThan(0.01);
    expect(epochs[23]?.report.courseDeg).toBe(270);
    const rmc = named(struck.journal, 'RMC').find(({ epoch }) => epoch === 20);
    expect(Math.abs(Number(fieldsOf(rmc?.text as string)[7]) - 30_000 / KNOT_MPS)).toBeLessThanOrEqual(0.051);
    // Ten times a second the same way takes a tenth of the time.
    const fast = await speeds({ ...east, 'with-speed': true }, { rate: '10 Hz', baud: 115_200 });
    expect(linesOf(fast.struck.journal, 'epoch')[200]?.report.speedMps).toBeCloseTo(300_000, 3);
    expect(linesOf(fast.struck.journal, 'epoch')[239]?.report.speedMps).toBeCloseTo(300_000, 3);
  });

  it('says the geoid’s separation of the place that it shows', async () => {
    const more = { route: [{ hold: '30 s', at: [0, 70, '0 m'] }], duration: '30 s' };
    const { struck, plain } = await withAndWithout(jump({ distance: '1000 km', direction: '45 deg' }), more);
    const heights = (played: Played) => linesOf(played.journal, 'epoch')[21]?.report;
    const [there, here] = [heights(struck), heights(plain)];
    const sum = (report: typeof there) => (report?.altitudeMslM as number) + (report?.geoidSeparationM as number);
    expect(Math.abs(sum(there) - sum(here))).toBeLessThan(MILLIMETRE);
    // The deepest hole of the geoid, -106 m, is south of India (EGM96, NGA).
    expect(Math.abs((there?.geoidSeparationM as number) - (here?.geoidSeparationM as number))).toBeGreaterThan(5);
  });
});
