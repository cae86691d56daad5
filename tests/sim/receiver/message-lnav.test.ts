import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addSeconds, type GpsTime } from '../../../src/base/time.js';
import { GPS_LNAV } from '../../../src/sim/receiver/message/lnav.js';
import type { MessageListener } from '../../../src/sim/receiver/message/plan.js';
import { MessageReader } from '../../../src/sim/receiver/message/reader.js';

const SPEED_OF_LIGHT_MPS = 299_792_458;
const RANGE_M = 22_000_000;
const TRAVEL_S = RANGE_M / SPEED_OF_LIGHT_MPS;
/** IS-GPS-200, 20.3.2: 300 bits at 50 bit/s, five subframes to a frame. */
const SUBFRAME_S = 6;
const FRAME_S = 30;
const WEEK = 2197;
/** Steps of the reader in these tests, s. */
const STEP_S = 0.1;
/** Steps are sums of tenths. */
const ROUNDING_S = 1e-6;

type News = { kind: 'time' | 'week' | 'ephemeris' | 'almanac' | 'leap'; atS: number; id?: string };

/** What the reader tells, from a time of week on. `heard(t)`: since when the bits come without a break, or null. */
function listen(from: GpsTime, lengthS: number, heard: (tS: number) => number | null): News[] {
  const reader = new MessageReader(GPS_LNAV);
  const news: News[] = [];
  let atS = 0;
  const to: MessageListener = {
    timeOfWeek: () => news.push({ kind: 'time', atS }),
    date: () => news.push({ kind: 'week', atS }),
    leapSeconds: () => news.push({ kind: 'leap', atS }),
    corrections: () => expect.fail('GPS sends no corrections'),
    ephemeris: () => news.push({ kind: 'ephemeris', atS }),
    almanac: (id) => news.push({ kind: 'almanac', atS, id }),
  };
  for (let step = 0; step * STEP_S <= lengthS; step++) {
    atS = step * STEP_S;
    reader.step(atS, addSeconds(from, atS), RANGE_M, heard(atS), to);
  }
  return news;
}

function firstOf(news: readonly News[], kind: News['kind']): number {
  return news.find((item) => item.kind === kind)?.atS ?? Infinity;
}

/** Arrival of the end of the first subframe with one of these numbers that begins at or after `sinceS` of the week. */
function endOf(numbers: readonly number[], sinceS: number): number {
  for (let start = Math.ceil((sinceS - TRAVEL_S - ROUNDING_S) / SUBFRAME_S) * SUBFRAME_S; ; start += SUBFRAME_S) {
    const number = ((start / SUBFRAME_S) % 5) + 1;
    if (numbers.includes(number)) return start + SUBFRAME_S + TRAVEL_S;
  }
}

describe('reading the GPS navigation message, recomputed from the frame’s timing (IS-GPS-200, 20.3.2)', () => {
  it('time, week and ephemeris come when the subframes that carry them have arrived whole', () => {
    // Within one data set of two hours; bits come from some time in the frame on.
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 6000 }), fc.integer({ min: 0, max: 299 }), (towTenths, lockTenths) => {
        const tow = 7200 * 10 + towTenths / 10;
        const lockS = lockTenths / 10;
        const news = listen({ week: WEEK, towS: tow }, lockS + 45, (tS) => (tS >= lockS - ROUNDING_S ? lockS : null));
        const since = tow + lockS;
        const expected = {
          time: endOf([1, 2, 3, 4, 5], since),
          week: endOf([1], since),
          ephemeris: Math.max(endOf([1], since), endOf([2], since), endOf([3], since)),
        };
        for (const kind of ['time', 'week', 'ephemeris'] as const) {
          const lateS = firstOf(news, kind) - (expected[kind] - tow);
          expect(lateS, kind).toBeGreaterThan(-ROUNDING_S);
          expect(lateS, kind).toBeLessThan(STEP_S + ROUNDING_S);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('over all phases of the frame the ephemeris takes 18 to 36 s, 30 in the mean and more', () => {
    const waits = Array.from({ length: 300 }, (_, phase) => {
      const lockS = phase / 10;
      const news = listen({ week: WEEK, towS: 90_000 }, 70, (tS) => (tS >= lockS - ROUNDING_S ? lockS : null));
      return firstOf(news, 'ephemeris') - lockS;
    });
    // From the frame's figure: one fifth of the phases wait 18 to 24 s, one fifth 24 to 30, three fifths 30 to 36.
    const meanS = (21 + 27 + 3 * 33) / 5;
    expect(Math.min(...waits)).toBeGreaterThanOrEqual(3 * SUBFRAME_S - ROUNDING_S);
    expect(Math.max(...waits)).toBeLessThan(FRAME_S + SUBFRAME_S + 2 * STEP_S);
    expect(Math.abs(waits.reduce((sum, wait) => sum + wait, 0) / waits.length - meanS)).toBeLessThan(2 * STEP_S);
    expect(waits.filter((wait) => wait > 30).length / waits.length).toBeGreaterThan(0.55);
  });

  it('a break within a subframe spoils it, and only it: what was read before is kept', () => {
    // Frame begins at 0 s; a break of one step in subframe 2.
    const heard = (tS: number) => (tS < 0.3 ? null : tS < 9 ? 0.3 : tS < 9.15 ? null : 9.15);
    const news = listen({ week: WEEK, towS: 90_000 + TRAVEL_S - 0.3 }, 60, heard);
    expect(Math.abs(firstOf(news, 'week') - 6.3)).toBeLessThan(2 * STEP_S);
    // Subframe 3 of this frame, subframe 2 of the next.
    expect(Math.abs(firstOf(news, 'ephemeris') - (FRAME_S + 12.3))).toBeLessThan(2 * STEP_S);
    const times = news.filter(({ kind }) => kind === 'time').map(({ atS }) => Math.round((atS - 0.3) / SUBFRAME_S));
    expect(times.slice(0, 5)).toEqual([1, 3, 4, 5, 6]);
  });

  it('breaks every 5 s leave nothing to read', () => {
    expect(listen({ week: WEEK, towS: 90_000 }, 300, (tS) => Math.floor(tS / 5) * 5)).toEqual([]);
  });

  it('data sets are not mixed: subframes 1 and 2 of the old one and 3 of the new one are no ephemeris', () => {
    // The set changes every two hours (20.3.4.4), at a frame's start. Bits begin in subframe 2 of its last frame.
    const lockS = 3 + TRAVEL_S;
    const news = listen({ week: WEEK, towS: 7200 * 13 - 24 }, 60, (tS) => (tS >= lockS ? lockS : null));
    // Subframe 3 alone is left of the old set; the new one is complete 18 s after its start, not 12.
    expect(Math.abs(firstOf(news, 'ephemeris') - (24 + 18 + TRAVEL_S))).toBeLessThan(2 * STEP_S);
  });

  it('reads on across the end of the week', () => {
    const news = listen({ week: WEEK, towS: 604_800 - 12 }, 60, () => 0);
    const times = news.filter(({ kind }) => kind === 'time').length;
    expect(times).toBe(9);
    expect(Math.abs(firstOf(news, 'ephemeris') - (12 + 18 + TRAVEL_S))).toBeLessThan(2 * STEP_S);
  });

  it('tells each of 32 almanac entries once in 12.5 minutes (25 frames, table 20-V)', () => {
    const news = listen({ week: WEEK, towS: 750 * 40 }, 751, () => 0);
    const ids = news.filter(({ kind }) => kind === 'almanac').map(({ id }) => id as string);
    const expected = Array.from({ length: 32 }, (_, i) => `G${String(i + 1).padStart(2, '0')}`);
    expect([...ids].sort()).toEqual(expected);
  });

  it('GPS - UTC comes with page 18 of subframe 4 (table 20-V), once in 12.5 minutes', () => {
    const superframeS = 25 * FRAME_S;
    const news = listen({ week: WEEK, towS: superframeS * 40 }, 2 * superframeS, () => 0);
    const atS = news.filter(({ kind }) => kind === 'leap').map((item) => item.atS);
    expect(atS.length).toBe(2);
    const ends = [0, 1].map((round) => round * superframeS + 17 * FRAME_S + 4 * SUBFRAME_S + TRAVEL_S);
    for (const [i, at] of atS.entries()) {
      expect(at).toBeGreaterThan((ends[i] as number) - ROUNDING_S);
      expect(at).toBeLessThan((ends[i] as number) + STEP_S + ROUNDING_S);
    }
  });

  it('after a reset what had been collected counts no more', () => {
    const reader = new MessageReader(GPS_LNAV);
    let complete = 0;
    const none = () => undefined;
    const to: MessageListener = {
      timeOfWeek: none,
      date: none,
      leapSeconds: none,
      almanac: none,
      corrections: none,
      ephemeris: () => complete++,
    };
    const step = (tS: number) => reader.step(tS, { week: WEEK, towS: 90_000 + tS }, RANGE_M, 0, to);
    for (let tS = 0; tS <= 13; tS++) step(tS);
    reader.reset();
    for (let tS = 14; tS <= 40; tS++) step(tS);
    expect(complete).toBe(0);
    for (let tS = 41; tS <= 45; tS++) step(tS);
    expect(complete).toBe(1);
  });
});
