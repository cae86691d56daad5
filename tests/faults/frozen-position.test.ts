import { describe, expect, it } from 'vitest';
import { linesOf } from '../run/helper.js';
import { expectSameSentences, faultEvents, fieldsOf, named, withAndWithout } from './helper.js';

const MOVING = {
  route: [
    { hold: '5 s', at: [47.1, 8.2, '430 m'] },
    { go: [[47.13, 8.25]], speed: '30 kn' },
  ],
};

describe('frozen-position', () => {
  it('keeps the coordinates identical while the time runs, in every sentence', async () => {
    const { struck } = await withAndWithout([{ at: '20 s', for: '25 s', fault: 'frozen-position' }], MOVING);
    const gga = named(struck.journal, 'GGA').filter(({ epoch }) => epoch >= 20 && epoch < 45);
    expect(gga).toHaveLength(25);
    const positions = new Set(
      gga.map(({ text }) => [...fieldsOf(text).slice(2, 6), ...fieldsOf(text).slice(9, 13)].join()),
    );
    expect(positions.size).toBe(1);
    expect(new Set(gga.map(({ text }) => fieldsOf(text)[1])).size).toBe(25);
    for (const { text, epoch } of [...named(struck.journal, 'RMC'), ...named(struck.journal, 'GLL')]) {
      if (epoch < 20 || epoch >= 45) continue;
      const at = text.slice(3, 6) === 'RMC' ? 3 : 1;
      expect(fieldsOf(text).slice(at, at + 4)).toEqual(fieldsOf(gga[0]?.text as string).slice(2, 6));
    }
    // The truth went on: 30 kn for 25 s are 385 m.
    const epochs = linesOf(struck.journal, 'epoch');
    expect(epochs[45]?.truth.latitudeDeg).not.toBe(epochs[20]?.truth.latitudeDeg);
    for (const { index, report, faults } of epochs) {
      if (index < 20 || index >= 45) continue;
      expect(faults).toEqual(['1.1']);
      expect(report.latitudeDeg).toBe(epochs[20]?.report.latitudeDeg);
      expect(report.longitudeDeg).toBe(epochs[20]?.report.longitudeDeg);
    }
  });

  it('lets speed and course go on, or freezes them too', async () => {
    const during = async (settings: object) => {
      const timeline = [{ at: '20 s', for: '25 s', fault: 'frozen-position', with: settings }];
      const { struck } = await withAndWithout(timeline, MOVING);
      return linesOf(struck.journal, 'epoch')
        .slice(20, 45)
        .map(({ report }) => `${report.speedMps} ${report.courseDeg}`);
    };
    expect(new Set(await during({})).size).toBe(25);
    expect(new Set(await during({ motion: 'live' })).size).toBe(25);
    expect(new Set(await during({ motion: 'frozen' })).size).toBe(1);
  });

  it('fully stuck says the same again and again, time and satellites too', async () => {
    const timeline = [{ at: '20 s', for: '25 s', fault: 'frozen-position', with: { time: 'frozen' } }];
    const { struck, plain } = await withAndWithout(timeline, MOVING);
    const texts = (epoch: number) =>
      linesOf(struck.journal, 'sentence')
        .filter((line) => line.epoch === epoch)
        .map(({ text }) => text);
    const right = linesOf(plain.journal, 'sentence').filter(({ epoch }) => epoch === 20);
    expect(texts(20)).toEqual(right.map(({ text }) => text));
    for (let epoch = 21; epoch < 45; epoch++) expect(texts(epoch)).toEqual(texts(20));
    expect(texts(45)).not.toEqual(texts(20));
    // The module is alive all the same: sentences come at their times.
    expectSameSentences(struck, plain, 45);
    const starts = (played: typeof struck) =>
      named(played.journal, 'RMC').map(({ startMs }) => Math.floor(startMs / 1000));
    expect(starts(struck)).toEqual(starts(plain));
  });

  it('leaves all before and after it as it was, and is on record', async () => {
    const { struck, plain } = await withAndWithout([{ at: '20 s', for: '25 s', fault: 'frozen-position' }], MOVING);
    expectSameSentences(struck, plain, 45);
    expect(faultEvents(struck.journal)).toEqual([
      { id: '1.1', kind: 'frozen-position', phase: 'begin', atMs: 20_000, with: { motion: 'live', time: 'live' } },
      { id: '1.1', kind: 'frozen-position', phase: 'end', atMs: 45_000, with: { motion: 'live', time: 'live' } },
    ]);
    const gsv = (played: typeof struck) => named(played.journal, 'GSV').map(({ text }) => text);
    expect(gsv(struck)).toEqual(gsv(plain));
  });

  it('holds nothing while there is no fix, and then the first one', async () => {
    const { struck } = await withAndWithout([{ at: '0 s', fault: 'frozen-position' }], {
      ...MOVING,
      receiver: { start: 'warm' },
      duration: '90 s',
    });
    const fixes = linesOf(struck.journal, 'epoch').filter(({ report }) => report.fix !== 'none');
    expect(fixes.length).toBeGreaterThan(30);
    expect(fixes[0]?.index).toBeGreaterThan(5);
    expect(new Set(fixes.map(({ report }) => `${report.latitudeDeg} ${report.longitudeDeg}`)).size).toBe(1);
  });
});
