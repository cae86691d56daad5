import { describe, expect, it } from 'vitest';
import { defaultDate } from '../../src/faults/kinds/default-date.js';
import { linesOf } from '../run/helper.js';
import { expectSameSentences, fieldsOf, named, withAndWithout } from './helper.js';
import { reporting, reportsOf } from './receiver-helper.js';

const COLD = { receiver: { start: 'cold' }, duration: '120 s' };

/** The run with the fault from the start, the run without it, and the first epoch at which the date is known. */
async function cold(settings: object = {}) {
  const { struck, plain } = await withAndWithout([{ at: '0 s', fault: 'default-date', with: settings }], COLD);
  const epochs = linesOf(plain.journal, 'epoch');
  const known = epochs.findIndex(({ report }) => report.dateKnown);
  return { struck, plain, epochs, known };
}

describe('default-date', () => {
  it('claims 1980-01-06 from 00:00:00 on, a second an epoch, with status V', async () => {
    const { struck, epochs, known } = await cold();
    const timeless = epochs.findIndex(({ report }) => report.timeKnown);
    expect(timeless).toBeGreaterThan(5);
    expect(known).toBeGreaterThanOrEqual(timeless);
    for (const { text, epoch } of named(struck.journal, 'RMC')) {
      if (epoch >= timeless) break;
      const second = String(epoch).padStart(2, '0');
      const [, time, status, latitude, , , , , , date] = fieldsOf(text);
      expect([time, status, latitude, date]).toEqual([`0000${second}.00`, 'V', '', '060180']);
    }
    for (const { index, report } of linesOf(struck.journal, 'epoch')) {
      expect([report.timeKnown, report.dateKnown]).toEqual([true, true]);
      if (index < known) expect(report.utc?.slice(0, 10)).toBe('1980-01-06');
    }
  });

  it('has the true time of day once that is known, with the default date still', async () => {
    const reports = await reportsOf(COLD);
    const between = reports.find(({ timeKnown, dateKnown }) => timeKnown && !dateKnown);
    const at = reporting(defaultDate);
    expect(at({ ...(reports[0] as (typeof reports)[0]) }, 0).utc).toMatchObject({ hour: 0, minute: 0, second: 0 });
    const timeOnly = between ?? { ...(reports.at(-1) as (typeof reports)[0]), dateKnown: false };
    const { hour, minute, second } = timeOnly.utc as NonNullable<typeof timeOnly.utc>;
    expect(at(timeOnly, 20).utc).toEqual({ year: 1980, month: 1, day: 6, hour, minute, second });
    // The next day by the satellites is the next day of the default.
    const utc = { year: 2026, month: 3, day: 2, hour: 0, minute: 0, second: 5 };
    expect(at({ ...timeOnly, utc }, 50_000).utc).toEqual({ ...utc, year: 1980, month: 1, day: 7 });
  });

  it('changes nothing once the true date is known', async () => {
    const { struck, plain, known } = await cold();
    expect(known).toBeGreaterThan(5);
    expectSameSentences(struck, plain, known);
    const timeline = [{ at: '10 s', for: '20 s', fault: 'default-date' }];
    const hot = await withAndWithout(timeline);
    expect(hot.struck.bytes.equals(hot.plain.bytes)).toBe(true);
  });

  it('takes any other date, and ticks into the next day, month and year', async () => {
    const { struck } = await cold({ date: '2080-01-06' });
    expect(fieldsOf(named(struck.journal, 'ZDA')[3]?.text as string).slice(0, 5)).toEqual([
      'GPZDA',
      '000003.00',
      '06',
      '01',
      '2080',
    ]);
    const [first] = await reportsOf({ ...COLD, duration: '1 s' });
    const at = reporting(defaultDate, { date: '1999-12-31' });
    at(first as NonNullable<typeof first>, 0.25);
    const utc = (sinceS: number) => at(first as NonNullable<typeof first>, sinceS).utc;
    expect(utc(86_399.25)).toEqual({ year: 1999, month: 12, day: 31, hour: 23, minute: 59, second: 59 });
    expect(utc(86_400.25)).toEqual({ year: 2000, month: 1, day: 1, hour: 0, minute: 0, second: 0 });
    expect(utc(86_461.35)?.second).toBe(1.1);
  });

  it('begins anew where a cold restart loses the date', async () => {
    const timeline = [
      { at: '0 s', fault: 'default-date' },
      { at: '20 s', fault: 'restart', with: { off: '1 s' } },
    ];
    const { struck } = await withAndWithout(timeline);
    const after = linesOf(struck.journal, 'epoch').filter(({ atMs }) => atMs >= 20_000);
    expect(after[0]?.report.utc).toBe('1980-01-06T00:00:00.000Z');
    expect(after[3]?.report.utc).toBe('1980-01-06T00:00:03.000Z');
  });

  it.each(['1980-02-30', '80-01-06', 'yesterday', '1899-12-31', 1980])('refuses %s', (date) => {
    expect(defaultDate.settings.safeParse({ date }).success).toBe(false);
  });
});
