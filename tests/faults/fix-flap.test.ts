import { describe, expect, it } from 'vitest';
import { fixFlap } from '../../src/faults/kinds/fix-flap.js';
import type { Report } from '../../src/sim/epoch.js';
import { linesOf } from '../run/helper.js';
import { expectSameSentences, fieldsOf, named, withAndWithout } from './helper.js';
import { reporting, reportsOf } from './receiver-helper.js';

const flap = (settings: object = {}) => [{ at: '20 s', for: '24 s', fault: 'fix-flap', with: settings }];
const MOVING = {
  route: [
    { hold: '5 s', at: [47.1, 8.2, '430 m'] },
    { go: [[47.13, 8.25]], speed: '30 kn' },
  ],
};

/** Which of a report's fields it leaves open, with what it says of the fix. */
function shape({ fix, quality, mode, status, deviation, ...rest }: Report) {
  const open = Object.entries(rest).filter(([, value]) => value === null);
  const openDeviation = Object.entries(deviation ?? {}).filter(([, value]) => value === null);
  return { fix, quality, mode, status, open: open.map(([key]) => key), deviation: openDeviation.map(([key]) => key) };
}

describe('fix-flap', () => {
  it('goes from 3D to 2D and back every four seconds, in GSA and in the report', async () => {
    const { struck, plain } = await withAndWithout(flap(), MOVING);
    const types = named(struck.journal, 'GSA').map(({ text }) => fieldsOf(text)[2]);
    expect(types.slice(16, 48).join('')).toBe(`3333${'2233'.repeat(6)}3333`);
    expect(linesOf(struck.journal, 'epoch').map(({ report }) => report.fix)).toEqual(
      types.map((type) => ({ 1: 'none', 2: '2d', 3: '3d' })[Number(type)]),
    );
    for (const { text } of named(struck.journal, 'GSA')) {
      const [pdop, hdop, vdop] = fieldsOf(text).slice(15, 18);
      const isFlat = fieldsOf(text)[2] === '2';
      if (fieldsOf(text)[2] === '1') continue;
      expect([pdop === '99.99', hdop === '99.99', vdop === '99.99']).toEqual([isFlat, false, isFlat]);
    }
    expectSameSentences(struck, plain, 44);
  });

  it('holds the height while it is 2D', async () => {
    const reports = await reportsOf(MOVING);
    const at = reporting(fixFlap);
    const heights = reports.slice(20, 44).map((report, i) => {
      const { altitudeMslM, geoidSeparationM } = at(report, i);
      return (altitudeMslM as number) + (geoidSeparationM as number);
    });
    const own = reports
      .slice(20, 44)
      .map(({ altitudeMslM, geoidSeparationM }) => (altitudeMslM as number) + (geoidSeparationM as number));
    const MICROMETRE = 1e-6;
    for (let i = 4; i < 24; i += 4) {
      for (const k of [i, i + 1])
        expect(Math.abs((heights[k] as number) - (own[i - 1] as number))).toBeLessThan(MICROMETRE);
      expect(heights.slice(i + 2, i + 4)).toEqual(own.slice(i + 2, i + 4));
    }
    expect(own[4]).not.toBe(own[3]);
  });

  it('reports 2D and none as the receiver itself does', async () => {
    const open = await reportsOf();
    const report = open[20] as Report;
    const three = report.used.slice(0, 5);
    // Some three of these five give a fix; the receiver alone decides what a 2D one looks like.
    const triples = three.flatMap((a, i) =>
      three.slice(i + 1).flatMap((b, k) => three.slice(i + k + 2).map((c) => [a, b, c])),
    );
    const all = report.inView.map(({ id }) => id);
    let flat: Report | undefined;
    for (const triple of triples) {
      const satellites = all.filter((id) => !triple.includes(id));
      const timeline = [{ at: '10 s', fault: 'signal-loss', with: { satellites } }];
      flat = (await reportsOf({ timeline, duration: '30 s' })).find(({ fix }) => fix === '2d');
      if (flat !== undefined) break;
    }
    expect(flat).toBeDefined();
    expect(shape(reporting(fixFlap)(report, 0))).toEqual(shape(flat as Report));
    const dark = (
      await reportsOf({ timeline: [{ at: '10 s', fault: 'signal-loss' }], duration: '30 s' })
    )[25] as Report;
    const none = reporting(fixFlap, { none: true })(report, 2);
    expect(shape(none)).toEqual(shape(dark));
    expect([none.used, none.residualsM, none.systemModes]).toEqual([[], [], dark.systemModes]);
  });

  it('passes through no fix too where that is set', async () => {
    const { struck } = await withAndWithout(flap({ none: true, period: '6 s' }));
    const types = named(struck.journal, 'GSA').map(({ text }) => fieldsOf(text)[2]);
    expect(types.slice(20, 44).join('')).toBe('221133'.repeat(4));
    const status = named(struck.journal, 'RMC').map(({ text }) => fieldsOf(text)[2]);
    expect(status.slice(20, 44).join('')).toBe('AAVVAA'.repeat(4));
  });

  it('leaves a receiver alone that has no 3D fix', async () => {
    const timeline = [{ at: '0 s', fault: 'fix-flap', with: { none: true } }];
    const { struck, plain } = await withAndWithout(timeline, { receiver: { start: 'cold' }, duration: '10 s' });
    expect(struck.bytes.equals(plain.bytes)).toBe(true);
  });
});
