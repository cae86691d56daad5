import { describe, expect, it } from 'vitest';
import { inspectPage } from '../../src/inspect/inspect-page.js';
import type { InspectReport } from '../../src/inspect/inspect-report.js';
import { line } from '../grammar/helper.js';
import { inspectText, itemOf } from './helper.js';

const DAY_S = 86_400;
const two = (value: number) => String(value).padStart(2, '0');

interface Stamp {
  readonly utc: Date;
  readonly isValid?: boolean;
  /** What GGA tells, where that is another time. */
  readonly ggaUtc?: Date;
}

const time = (utc: Date) => `${two(utc.getUTCHours())}${two(utc.getUTCMinutes())}${two(utc.getUTCSeconds())}.00`;

function epoch({ utc, isValid = true, ggaUtc = utc }: Stamp): string {
  const date = `${two(utc.getUTCDate())}${two(utc.getUTCMonth() + 1)}${two(utc.getUTCFullYear() % 100)}`;
  const place = '4700.0000,N,00800.0000,E';
  const rmc = `GPRMC,${time(utc)},${isValid ? 'A' : 'V'},${place},0.0,0.0,${date},,,A`;
  return line(rmc) + line(`GPGGA,${time(ggaUtc)},${place},${isValid ? 1 : 0},08,1.0,400,M,48.0,M,,`);
}

/** 600 epochs at 1 Hz, two lines each, whose date is moved by so many days: from 12:00:00 on, if not told. */
function log(daysOff: (i: number) => number, start = '2025-06-11T12:00:00Z', ofEpoch: Partial<Stamp> = {}): string {
  const startMs = Date.parse(start);
  const at = (i: number) => new Date(startMs + (i + daysOff(i) * DAY_S) * 1000);
  return Array.from({ length: 600 }, (_, i) => epoch({ utc: at(i), ...ofEpoch })).join('');
}

const oddities = ({ oddities: found }: InspectReport) => found.map(({ id }) => id);

/** Whatever the date does, an epoch came each second. */
function expectNoGap(report: InspectReport): void {
  expect(report.stream).toMatchObject({ epochs: 600, durationS: 599 });
  expect(report.timing).toMatchObject({ gapCount: 0, intervalS: 1 });
  expect(itemOf(report, 'gaps').verdict).toBe('good');
  expect(oddities(report)).not.toContain('silence');
}

describe('a date that the time of day does not explain', () => {
  const dateSteps = (report: InspectReport) =>
    report.time.dateSteps.map(({ line: at, from, to, rolloverWeeks }) => [at, from, to, rolloverWeeks]);

  it.each([1024, 2048])('is bad, and named as a rollover, where it falls by %i weeks', (weeks) => {
    const report = inspectText(log((i) => (i < 300 ? 0 : -7 * weeks), '2025-06-11T10:00:00Z'));
    const fallen = weeks === 1024 ? '2005-10-26' : '1986-03-12';
    expect(dateSteps(report)).toEqual([[601, '2025-06-11', fallen, weeks]]);
    const { verdict, reason } = itemOf(report, 'date');
    expect(verdict).toBe('bad');
    expect(reason).toContain(`steps from 2025-06-11 to ${fallen} at 10:05:00, line 601, ${weeks} weeks back`);
    expect(oddities(report)).toContain('week-rollover');
    expectNoGap(report);
    expect(inspectPage(report, 'a caution')).toContain(`2025-06-11 to ${fallen} before line 601`);
  });

  it('is told there and back', () => {
    const report = inspectText(log((i) => (i >= 300 && i < 360 ? -7 * 1024 : 0)));
    expect(dateSteps(report)).toEqual([
      [601, '2025-06-11', '2005-10-26', 1024],
      [721, '2005-10-26', '2025-06-11', 1024],
    ]);
    expectNoGap(report);
  });

  it.each([
    ['stays a day ahead', (i: number) => (i < 300 ? 0 : 1), 1],
    ['is a day behind for 10 s', (i: number) => (i >= 300 && i < 310 ? -1 : 0), 2],
    ['stays three days ahead', (i: number) => (i < 300 ? 0 : 3), 1],
  ])('is bad where it %s, and makes no gap', (_what, daysOff, steps) => {
    const report = inspectText(log(daysOff));
    expect(report.time.dateStepCount).toBe(steps);
    expect(itemOf(report, 'date').verdict).toBe('bad');
    expect(oddities(report)).not.toContain('week-rollover');
    expectNoGap(report);
  });

  it('is bad where it turns 5 s late, or early, or not at all, and makes no gap', () => {
    for (const [daysOff, told] of [
      [(i: number) => (i >= 300 && i < 305 ? -1 : 0), /does not turn with midnight, line 601; steps from .* line 611/],
      [(i: number) => (i >= 295 && i < 300 ? 1 : 0), /steps from .* at 23:59:55, line 591; does not turn .*, line 601/],
      [(i: number) => (i >= 300 ? -1 : 0), /does not turn with midnight, line 601$/],
    ] as const) {
      const report = inspectText(log(daysOff, '2025-06-11T23:55:00Z'));
      expect(itemOf(report, 'date')).toMatchObject({ verdict: 'bad', reason: expect.stringMatching(told) });
      expectNoGap(report);
    }
  });

  it('is bad where one day’s log follows itself', () => {
    // From 12:00:00 to 11:59:59 of the next day, an epoch a minute, twice.
    const startMs = Date.parse('2025-06-11T12:00:00Z');
    const day = Array.from({ length: 1440 }, (_, i) => epoch({ utc: new Date(startMs + i * 60_000) })).join('');
    const report = inspectText(day + day);
    expect(itemOf(report, 'date')).toMatchObject({ verdict: 'bad', reason: expect.stringContaining('2025-06-12 to') });
    expect(report.time).toMatchObject({ dateStepCount: 1, midnights: 2 });
    expect(report.timing.gapCount).toBe(0);
  });

  it('is none where days pass in a pause, or the first fix sets it', () => {
    const at = (utc: string, isValid = true) => epoch({ utc: new Date(utc), isValid });
    const paused = ['2025-06-11T12:00:00Z', '2025-06-11T12:00:01Z', '2025-06-13T15:00:00Z', '2025-06-13T15:00:01Z'];
    const pause = inspectText(paused.map((utc) => at(utc)).join(''));
    expect(pause.time.dateStepCount).toBe(0);
    expect(pause.timing).toMatchObject({ gapCount: 1, longestGapS: 2 * DAY_S + 3 * 3600 - 1 });
    const guessed = at('2025-01-01T12:00:00Z', false) + at('2025-01-01T12:00:01Z', false) + at('2025-06-11T12:00:02Z');
    expect(inspectText(guessed).time.dateStepCount).toBe(0);
  });
});

describe('a good date', () => {
  it('is said to turn with midnight only where midnight passed', () => {
    const night = inspectText(log(() => 0, '2025-06-11T23:55:00Z'));
    expect(itemOf(night, 'date')).toMatchObject({
      verdict: 'good',
      reason: expect.stringContaining('turns with midnight'),
    });
    expect(night.time.midnights).toBe(1);
    const noon = itemOf(inspectText(log(() => 0)), 'date');
    expect(noon).toMatchObject({ verdict: 'good' });
    expect(noon.reason).toContain('2025-06-11; one date throughout, no midnight in it');
  });

  it('turns over a second 60, and with a GGA of the day before beside it', () => {
    const leap = epoch({ utc: new Date('2016-12-31T23:59:59Z') });
    const sixty = ['RMC', 'GGA'].map((name) => {
      const body = leap.split('$').find((each) => each.startsWith(`GP${name}`)) as string;
      return line((body.split('*')[0] as string).replace('235959', '235960'));
    });
    const report = inspectText(leap + sixty.join('') + epoch({ utc: new Date('2017-01-01T00:00:00Z') }));
    expect(report.time).toMatchObject({ midnights: 1, dateStepCount: 0, leapSeconds: 1 });
    expect(report.stream.durationS).toBe(2);
    const stale = log(() => 0, '2025-06-11T23:55:00Z').split(/(?=\$GPRMC)/);
    stale[300] = epoch({ utc: new Date('2025-06-12T00:00:00Z'), ggaUtc: new Date('2025-06-11T23:59:59Z') });
    const beside = inspectText(stale.join(''));
    expect(beside.time).toMatchObject({ midnights: 1, dateStepCount: 0, mixedEpochs: 1 });
    expectNoGap(beside);
  });
});

describe('an RMC of a second before', () => {
  it('that leads its epoch is told of as well', () => {
    const startMs = Date.parse('2025-06-11T12:00:00Z');
    const stale = Array.from({ length: 60 }, (_, i): Stamp => {
      const ggaUtc = new Date(startMs + i * 1000);
      return { utc: i > 0 && i % 10 === 0 ? new Date(ggaUtc.getTime() - 1000) : ggaUtc, ggaUtc };
    });
    const report = inspectText(stale.map(epoch).join(''));
    expect(report.stream).toMatchObject({ epochs: 60, durationS: 59 });
    expect(report.timing).toMatchObject({ gapCount: 0, intervalS: 1 });
    expect(report.time.mixedEpochs).toBe(5);
    expect(oddities(report)).toContain('wrong-epoch-pairing');
  });
});

describe('a GGA of a second before', () => {
  it('is told of as such, and leaves rate, length and gaps as they are', () => {
    for (const every of [1, 10]) {
      const startMs = Date.parse('2025-06-11T12:00:00Z');
      const stamps = Array.from({ length: 600 }, (_, i): Stamp => {
        const utc = new Date(startMs + i * 1000);
        return { utc, ggaUtc: i % every === 0 ? new Date(utc.getTime() - 1000) : utc };
      });
      const report = inspectText(stamps.map(epoch).join(''));
      expectNoGap(report);
      expect(report.time.mixedEpochs).toBe(600 / every);
      expect(itemOf(report, 'time').verdict).toBe('bad');
      expect(oddities(report)).toContain('wrong-epoch-pairing');
    }
  });
});
