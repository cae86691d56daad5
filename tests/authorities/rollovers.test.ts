import { describe, expect, it } from 'vitest';
import { PUBLISHED_LEAP_SECONDS } from '../../src/base/leap-seconds.js';
import { dayNumberOf, type Utc } from '../../src/base/time.js';
import type { Epoch } from '../../src/sim/epoch.js';
import type { SystemName } from '../../src/sim/sky/system.js';
import { linesOf, playRun, roof } from '../run/helper.js';
import { epochs, firstWhere, simulator } from '../sim/receiver/still.js';

/** How long a run goes on after the rollover, and how long before it begins. */
const BEFORE_S = 40;
const AFTER_S = 60;
/** Cold receivers have position and date by then. */
const COLD_S = 120;

/**
 * When a count begins anew, in UTC: [system, what it counts, the last second before it, GPS week that it begins, after
 * how many days it has run through]. GPS: 10 bits of the week (IS-GPS-200N, 20.3.3.3.1.1), ahead of UTC by 13, 18 and,
 * as far as known, 18 s; Galileo: 12 bits from 1999-08-22 (OS SIS ICD 2.1, 5.1.2); BeiDou: 13 bits from 2006-01-01, BDT
 * is GPS time less 14 s (B1I 3.0, 3.3, 5.2.4.5); GLONASS: 32 intervals of 1461 days from 1996-01-01 of UTC + 3 h (ICD
 * 5.1, table 4.6), the first of which have no leap day in 2100.
 */
const ROLLOVERS: ReadonlyArray<readonly [SystemName, string, string, number, number]> = [
  ['gps', 'week 1024 = 0', '1999-08-21T23:59:46Z', 1024, 7168],
  ['gps', 'week 2048 = 0', '2019-04-06T23:59:41Z', 2048, 7168],
  ['gps', 'week 3072 = 0', '2038-11-20T23:59:41Z', 3072, 7168],
  ['galileo', 'week 4096 = 0', '2078-02-19T23:59:41Z', 5120, 28_672],
  ['beidou', 'week 8192 = 0', '2163-01-01T23:59:55Z', 9548, 57_344],
  ['glonass', 'the 31st four years', '2116-01-01T20:59:59Z', 7095, 46_752],
  ['glonass', 'the 33rd four years = 1st', '2124-01-01T20:59:59Z', 7513, 46_752],
];

function utcSeconds({ year, month, day, hour, minute, second }: Utc): number {
  return dayNumberOf(year, month, day) * 86_400 + hour * 3600 + minute * 60 + second;
}

/** Days by which the reported date is ahead of the true one; the time of day must be right. */
function aheadDays({ report, utc }: Epoch): number {
  const aheadS = utcSeconds(report.utc as Utc) - utcSeconds(utc);
  expect(Math.abs(aheadS % 86_400)).toBe(0);
  return aheadS / 86_400;
}

describe.each(ROLLOVERS)('%s, %s: after %s', (system, _, lastUtc, week, cycleDays) => {
  const wish = { systems: [system], startUtc: lastUtc };
  const across = { ...wish, startS: 1 - BEFORE_S };

  it('falls on the day that was published', () => {
    const { gpsTime, utc } = simulator({ ...wish, startS: 1 }).next();
    expect(utcSeconds(utc) - utcSeconds(simulator(wish).next().utc)).toBe(1);
    if (system === 'glonass') {
      const days = (utcSeconds(utc) + 3 * 3600) / 86_400 - dayNumberOf(1996, 1, 1);
      expect(days % 1461).toBe(0);
      expect([30, 32]).toContain(days / 1461);
    } else expect(gpsTime).toEqual({ week, towS: system === 'beidou' ? 14 : 0 });
  });

  it.each(['cold', 'hot'] as const)('a %s receiver of that decade goes through it with the right date', (start) => {
    for (const firmwareWeek of [null, week - 400, week - 1]) {
      const run = epochs(simulator({ ...across, start, receiver: { firmwareWeek } }), BEFORE_S + AFTER_S);
      const dated = run.filter(({ report }) => report.dateKnown);
      expect(dated.length).toBeGreaterThan(AFTER_S / 2);
      for (const epoch of dated) {
        expect(epoch.report.utc).toEqual(epoch.utc);
        expect(aheadDays(epoch)).toBe(0);
      }
      expect(run.at(-1)?.report.fix).toBe('3d');
    }
  });

  it('one whose firmware is a whole count older stands a count back once started after it', () => {
    const firmwareWeek = week - Math.floor(cycleDays / 7);
    const cold = simulator({ ...wish, startS: 1, start: 'cold', receiver: { firmwareWeek } });
    const fix = firstWhere(cold, ({ report }) => report.dateKnown && report.fix === '3d', COLD_S) as Epoch;
    expect(aheadDays(fix)).toBe(-cycleDays);
    // Time and place are right all the same.
    expect(Math.abs((fix.report.latitudeDeg as number) - fix.truth.latitudeDeg)).toBeLessThan(0.001);
  });

  it('and goes through it with the right date when it was on before', () => {
    const firmwareWeek = week - Math.floor(cycleDays / 7);
    const run = epochs(simulator({ ...across, start: 'hot', receiver: { firmwareWeek } }), BEFORE_S + AFTER_S);
    for (const epoch of run) expect(aheadDays(epoch)).toBe(0);
  });
});

/** RMC and ZDA of each epoch as a host reads them: time and date. */
async function onTheWire(
  scenario: Readonly<Record<string, unknown>>,
  receiver: Readonly<Record<string, unknown>> = {},
): Promise<Array<{ rmc: string[]; zda: string[] }>> {
  const module = { baud: 115_200, boot: '0 ms', sentences: { RMC: 1, ZDA: 1 }, receiver };
  const { journal } = await playRun({ scenario: roof({ module, ...scenario }) });
  const fields = new Map<number, { rmc: string[]; zda: string[] }>();
  for (const { epoch, text } of linesOf(journal, 'sentence')) {
    const kind = text.slice(3, 6);
    if (kind !== 'RMC' && kind !== 'ZDA') continue;
    const at = fields.get(epoch) ?? { rmc: [], zda: [] };
    at[kind === 'RMC' ? 'rmc' : 'zda'] = text.replace(/\*..$/, '').split(',');
    fields.set(epoch, at);
  }
  return [...fields.values()];
}

const timeOf = ({ rmc }: { rmc: string[] }) => (rmc[1] as string).slice(0, 6);

describe('on the wire', () => {
  it('2019-04-07: a receiver with firmware of 1999-08-22 that is started after it says 1999-08-22 again', async () => {
    const start = '2019-04-07T00:00:00Z';
    for (const [firmware, ddmmyy, year] of [
      ['1999-08-22', '220899', '1999'],
      ['1999-08-29', '070419', '2019'],
    ]) {
      const lines = await onTheWire({ start, receiver: { start: 'cold' } }, { 'firmware-date': firmware });
      const { rmc, zda } = lines.at(-1) as { rmc: string[]; zda: string[] };
      expect(rmc[2]).toBe('A');
      expect(rmc[9]).toBe(ddmmyy);
      expect(zda.slice(2, 5)).toEqual([ddmmyy?.slice(0, 2), ddmmyy?.slice(2, 4), year]);
    }
  });

  it.each([
    ['2016-12-31, which was inserted (IERS Bulletin C 52)', '2016-12-31', {}],
    ['2031-06-30, a fictional one', '2031-06-30', { 'leap-second': '2031-06-30' }],
  ])('the leap second at the end of %s is 23:59:60, once, and the day ends after it', async (_, day, sky) => {
    const lines = await onTheWire({ start: `${day}T23:59:57Z`, duration: '8 s', sky: { systems: ['gps'], ...sky } });
    const times = lines.map(timeOf);
    expect(times).toEqual(['235957', '235958', '235959', '235960', '000000', '000001', '000002', '000003']);
    for (const { rmc, zda } of lines) expect(zda[1]).toBe(rmc[1]);
    const dates = lines.map(({ zda }) => zda.slice(2, 5).join('-'));
    expect(new Set(dates.slice(0, 4)).size).toBe(1);
    expect(dates[3]).toBe(day.split('-').reverse().join('-'));
    expect(dates[4]?.slice(0, 2)).toBe('01');
  });

  it('a fictional one is there only where the scenario says so', async () => {
    const lines = await onTheWire({ start: '2031-06-30T23:59:58Z', duration: '4 s' });
    expect(lines.map(timeOf)).toEqual(['235958', '235959', '000000', '000001']);
  });
});

/** IS-GPS-200N, figure 20-1 and table 20-V: subframe 4 of page 18 of 25, each of 30 s, tells GPS - UTC. */
const GPS_PAGE_S = 30;
const GPS_CYCLE_S = 25 * GPS_PAGE_S;
const GPS_UTC_BEGINS_S = 17 * GPS_PAGE_S + 18;
const GPS_SUBFRAME_S = 6;
/** Light takes 65 to 90 ms. */
const TRAVEL_S = 0.09;
/** Search and bit synchronisation of a strong signal: whoever begins later than this is read. */
const FOUND_S = 4;

/** Seconds by which the reported time is ahead of UTC; null: no time yet. */
function aheadS({ report, utc }: Epoch): number | null {
  if (report.utc === null) return null;
  const s = ({ hour, minute, second }: Utc) => hour * 3600 + minute * 60 + second;
  return ((s(report.utc) - s(utc) + 43_200 + 86_400) % 86_400) - 43_200;
}

describe('GPS - UTC that the firmware assumes wrong', () => {
  it('GPS alone: off by whole seconds until page 18 of subframe 4 (IS-GPS-200N), up to 12.5 min, then right', () => {
    let latest = 0;
    for (const [startS, assumedLeapSeconds] of [
      [0, 16],
      [140, 15],
      [293, 0],
      [451, 19],
      [602, 16],
    ] as const) {
      const run = simulator({ start: 'cold', startS, receiver: { assumedLeapSeconds } });
      const all = epochs(run, GPS_CYCLE_S + 30);
      const { towS } = run.start;
      const waitS = (((GPS_UTC_BEGINS_S - towS - FOUND_S) % GPS_CYCLE_S) + GPS_CYCLE_S) % GPS_CYCLE_S;
      const expectedS = Math.ceil(FOUND_S + waitS + GPS_SUBFRAME_S + TRAVEL_S);
      const right = all.findIndex((epoch) => aheadS(epoch) === 0);
      expect(right).toBe(expectedS);
      latest = Math.max(latest, right);
      all.forEach((epoch, second) => {
        const ahead = aheadS(epoch);
        if (ahead === null) expect(second).toBeLessThan(20);
        else expect(ahead).toBe(second < right ? 18 - assumedLeapSeconds : 0);
      });
    }
    expect(latest).toBeGreaterThan(600);
    expect(latest).toBeLessThan(GPS_CYCLE_S + 15);
  });

  it('with Galileo (word 6 of every sub-frame, OS SIS ICD 2.1) or GLONASS (string 5, ICD 5.1) within 40 s', () => {
    for (const systems of [['gps', 'galileo'] as const, ['gps', 'glonass'] as const]) {
      const all = epochs(simulator({ start: 'cold', systems, receiver: { assumedLeapSeconds: 16 } }), 90);
      const right = all.findIndex((epoch) => aheadS(epoch) === 0);
      expect(right).toBeGreaterThan(0);
      expect(right).toBeLessThan(40);
      expect(all.slice(right).every((epoch) => aheadS(epoch) === 0)).toBe(true);
    }
  });

  it('warm and hot starts remember it', () => {
    for (const start of ['warm', 'hot'] as const) {
      expect(aheadS(simulator({ start, receiver: { assumedLeapSeconds: 3 } }).next())).toBe(0);
    }
  });

  it('a firmware that knows of no leap second shows none: the minute has 60 s, and time is ahead from then on', () => {
    const day = dayNumberOf(2031, 6, 30);
    const leapSeconds = PUBLISHED_LEAP_SECONDS.withOneMore(day);
    const wish = { start: 'cold' as const, startUtc: '2031-06-30T23:59:00Z', leapSeconds };
    const unaware = epochs(simulator({ ...wish, receiver: { assumedLeapSeconds: 18 } }), 70);
    const seconds = unaware.map(({ report }) => report.utc?.second ?? 0);
    expect(Math.max(...seconds)).toBe(59);
    expect(aheadS(unaware[59] as Epoch)).toBe(0);
    expect(aheadS(unaware[62] as Epoch)).toBe(1);
    const aware = epochs(simulator(wish), 70);
    expect(aware[60]?.report.utc?.second).toBe(60);
    expect(aware[60]?.report.utcMinuteS).toBe(61);
    expect(aheadS(aware[62] as Epoch)).toBe(0);
  });
});
