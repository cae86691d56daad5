import { describe, expect, it } from 'vitest';
import { timeStep } from '../../src/faults/kinds/time-step.js';
import { linesOf, type Played } from '../run/helper.js';
import { expectSameSentences, fieldsOf, named, withAndWithout } from './helper.js';
import { reporting, reportsOf } from './receiver-helper.js';

/** What RMC and ZDA of each epoch say of time and date. */
function clocks({ journal }: Played): string[] {
  const rmc = named(journal, 'RMC').map(({ text }) => fieldsOf(text));
  const zda = named(journal, 'ZDA').map(({ text }) => fieldsOf(text).slice(1, 5).join(' '));
  return rmc.map((fields, i) => `${fields[1]} ${fields[9]} / ${zda[i]}`);
}

const step = (by: string) => [{ at: '20 s', for: '20 s', fault: 'time-step', with: { by } }];

describe('time-step', () => {
  it('steps back by a second, runs on, and steps forward again, in every sentence that has a time', async () => {
    const { struck, plain } = await withAndWithout([{ at: '20 s', for: '20 s', fault: 'time-step' }]);
    const [seen, right] = [clocks(struck), clocks(plain)];
    expect(seen.slice(0, 20)).toEqual(right.slice(0, 20));
    // The second before is said twice, and at the end one is left out.
    expect(seen.slice(20, 40)).toEqual(right.slice(19, 39));
    expectSameSentences(struck, plain, 40);
    for (const [name, at] of [
      ['GGA', 1],
      ['GLL', 5],
    ] as const) {
      const times = named(struck.journal, name).map(({ text }) => fieldsOf(text)[at]);
      expect(times).toEqual(seen.map((text) => text.split(' ')[0]));
    }
  });

  it('leaves all but the time as it was', async () => {
    const { struck, plain } = await withAndWithout(step('-1 s'));
    const rest = (played: Played) =>
      linesOf(played.journal, 'epoch').map(({ report: { utc: _utc, ...others } }) => others);
    expect(rest(struck)).toEqual(rest(plain));
  });

  it.each(['-1 s', '2 s', '-3 s', '1 s'])(
    'by %s goes through midnight and a leap second as a clock does',
    async (by) => {
      // IERS Bulletin C 52: a leap second at the end of 2016-12-31.
      const { struck, plain } = await withAndWithout(step(by), { start: '2016-12-31T23:59:30Z' });
      const [seen, right] = [clocks(struck), clocks(plain)];
      expect(right[30]).toMatch(/^235960\.00 311216/);
      expect(right[31]).toMatch(/^000000\.00 010117/);
      const shift = Number.parseInt(by, 10);
      expect(seen.slice(20, 40)).toEqual(right.slice(20 + shift, 40 + shift));
    },
  );

  it('knows the leap second that a scenario makes up', async () => {
    const more = { start: '2027-06-30T23:59:30Z', sky: { 'leap-second': '2027-06-30' } };
    const { struck, plain } = await withAndWithout(step('-1 s'), more);
    expect(clocks(plain)[30]).toMatch(/^235960/);
    expect(clocks(struck).slice(20, 40)).toEqual(clocks(plain).slice(19, 39));
  });

  it('steps by hours and weeks', async () => {
    const hour = await withAndWithout(step('3600 s'), { start: '2026-12-31T23:10:00Z' });
    expect(clocks(hour.struck)[25]).toBe('001025.00 010127 / 001025.00 01 01 2027');
    // A week number that is 1024 too small, 7168 days: what a rollover of its ten bits does.
    const weeks = await withAndWithout(step('-7168 d'));
    expect(clocks(weeks.struck)[25]).toBe('120025.00 160706 / 120025.00 16 07 2006');
  });

  it('keeps whole seconds and the length of the minute', async () => {
    const [report] = await reportsOf({ start: '2016-12-31T23:59:58Z', duration: '1 s' });
    const at = (by: string) => reporting(timeStep, { by })(report as NonNullable<typeof report>, 0);
    expect(at('-1 s').utc?.second).toBe(57);
    expect(at('2 s')).toMatchObject({ utc: { minute: 59, second: 60 }, utcMinuteS: 61 });
    expect(at('3 s')).toMatchObject({ utc: { year: 2017, minute: 0, second: 0 }, utcMinuteS: 60 });
    expect(at('-1 min')).toMatchObject({ utc: { minute: 58, second: 58 }, utcMinuteS: 60 });
    expect(at('-0.3 s').utc?.second).toBeCloseTo(57.7, 9);
  });

  it('has nothing to change before the time is known', async () => {
    const timeline = [{ at: '0 s', fault: 'time-step' }];
    const { struck, plain } = await withAndWithout(timeline, { receiver: { start: 'cold' }, duration: '5 s' });
    expect(struck.bytes.equals(plain.bytes)).toBe(true);
  });
});
