import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PUBLISHED_LEAP_SECONDS } from '../../../src/base/leap-seconds.js';
import { addSeconds, dayNumberOf, type GpsTime, gpsFromUtc, parseUtc } from '../../../src/base/time.js';
import { messagePlanOf } from '../../../src/sim/receiver/message/message-plan-of.js';
import type { MessageListener } from '../../../src/sim/receiver/message/plan.js';
import { MessageReader } from '../../../src/sim/receiver/message/reader.js';
import type { OrbitClass } from '../../../src/sim/sky/orbit.js';
import type { SystemName } from '../../../src/sim/sky/system.js';

const SPEED_OF_LIGHT_MPS = 299_792_458;
const RANGE_M = 24_000_000;
const TRAVEL_S = RANGE_M / SPEED_OF_LIGHT_MPS;
const STEP_S = 0.1;
/** Seconds of a week are kept to some 1e-7 s where weeks are counted in. */
const ROUNDING_S = 1e-6;
const WEEK = 2197;
/** GPS - UTC in that week (IERS). */
const GPS_MINUS_UTC_S = 18;

type Kind = 'time' | 'date' | 'ephemeris' | 'leap' | 'almanac' | 'corrections';
type News = { kind: Kind; atS: number; id?: string };

function recorder(news: News[], now: () => number): MessageListener {
  const tell = (kind: Kind) => () => void news.push({ kind, atS: now() });
  return {
    timeOfWeek: tell('time'),
    date: tell('date'),
    ephemeris: tell('ephemeris'),
    leapSeconds: tell('leap'),
    corrections: tell('corrections'),
    almanac: (id) => void news.push({ kind: 'almanac', atS: now(), id }),
  };
}

/** What a reader tells of a satellite, from a time on. `heard(t)`: since when bits come without a break, or null. */
function listen(
  system: SystemName,
  from: GpsTime,
  lengthS: number,
  heard: (tS: number) => number | null,
  orbitClass: OrbitClass = 'meo',
  number = 1,
): News[] {
  const reader = new MessageReader(messagePlanOf({ system, number, orbitClass }));
  const news: News[] = [];
  let atS = 0;
  const to = recorder(news, () => atS);
  for (let step = 0; step * STEP_S <= lengthS; step++) {
    atS = step * STEP_S;
    reader.step(atS, addSeconds(from, atS), RANGE_M, heard(atS), to);
  }
  return news;
}

/** A unit that has to be read: its number in the frame, from 1, and where it matters its frame in the cycle, from 1. */
type Need = readonly [unit: number, frame?: number];

/** A published frame, as a test's expectation is made from. */
interface Frame {
  readonly system: SystemName;
  readonly source: string;
  readonly orbitClass?: OrbitClass;
  /** GPS time less the time that frames are aligned to, s. */
  readonly shiftS: number;
  readonly unitS: number;
  readonly units: number;
  readonly frames: number;
  readonly time: readonly Need[];
  readonly date: readonly Need[];
  readonly ephemeris: readonly Need[];
  readonly leap: readonly Need[];
  readonly dataSetS: number;
}

const each = (...units: number[]): Need[] => units.map((unit) => [unit]);

const FRAMES: readonly Frame[] = [
  {
    system: 'gps',
    source: 'IS-GPS-200N, figure 20-1 and table 20-V',
    shiftS: 0,
    unitS: 6,
    units: 5,
    frames: 25,
    time: each(1, 2, 3, 4, 5),
    date: each(1),
    ephemeris: each(1, 2, 3),
    leap: [[4, 18]],
    dataSetS: 7200,
  },
  {
    system: 'galileo',
    source: 'Galileo OS SIS ICD, E1-B sub-frame layout, from memory',
    shiftS: 1,
    unitS: 2,
    units: 15,
    frames: 24,
    // Words 2 4 6 7|9 8|10 17|18 19|20 16 0 22 1 3 5 0 16.
    time: each(3, 9, 13, 14),
    date: each(9, 13, 14),
    ephemeris: each(11, 1, 12, 2),
    leap: each(3),
    dataSetS: 600,
  },
  {
    system: 'glonass',
    source: 'GLONASS ICD 5.1, 4.3',
    shiftS: GPS_MINUS_UTC_S,
    unitS: 2,
    units: 15,
    frames: 5,
    time: each(1),
    date: each(4, 5),
    ephemeris: each(1, 2, 3, 4),
    leap: each(5),
    dataSetS: 1800,
  },
  {
    system: 'beidou',
    source: 'BeiDou ICD B1I 3.0, 5.2 (D1)',
    shiftS: 14,
    unitS: 6,
    units: 5,
    frames: 24,
    time: each(1, 2, 3, 4, 5),
    date: each(1),
    ephemeris: each(1, 2, 3),
    leap: [[5, 10]],
    dataSetS: 3600,
  },
  {
    system: 'beidou',
    source: 'BeiDou ICD B1I 3.0, 5.3 (D2)',
    orbitClass: 'geo',
    shiftS: 14,
    unitS: 0.6,
    // Ten frames of five subframes, as one: subframe 1 of each bears a page of the ephemeris.
    units: 50,
    frames: 12,
    time: Array.from({ length: 50 }, (_, i): Need => [i + 1]),
    date: each(1),
    ephemeris: each(1, 6, 11, 16, 21, 26, 31, 36, 41, 46),
    // Page 102 is the second frame of the eleventh ten.
    leap: [[10, 11]],
    dataSetS: 3600,
  },
  {
    system: 'navic',
    source: 'IRNSS SIS ICD 1.1, 5.9, from memory',
    shiftS: 0,
    unitS: 12,
    units: 4,
    frames: 1,
    time: each(1, 2, 3, 4),
    date: each(1),
    ephemeris: each(1, 2),
    leap: [],
    dataSetS: 7200,
  },
];

/** Arrival, s of the week, of the end of the first such unit that begins to arrive at `sinceS` or later. */
function endOf(frame: Frame, [unit, ofCycle]: Need, sinceS: number): number {
  const frameS = frame.unitS * frame.units;
  const periodS = ofCycle === undefined ? frameS : frameS * frame.frames;
  const placeS = (unit - 1) * frame.unitS + ((ofCycle ?? 1) - 1) * frameS + frame.shiftS + TRAVEL_S;
  const rounds = Math.ceil((sinceS - placeS - ROUNDING_S) / periodS);
  return placeS + rounds * periodS + frame.unitS;
}

const any = (frame: Frame, needs: readonly Need[], sinceS: number) =>
  Math.min(...needs.map((need) => endOf(frame, need, sinceS)));
const all = (frame: Frame, needs: readonly Need[], sinceS: number) =>
  Math.max(...needs.map((need) => endOf(frame, need, sinceS)));

describe.each(FRAMES)('reading $system, recomputed from the frame’s timing ($source)', (frame) => {
  const { system, orbitClass, dataSetS } = frame;
  const frameS = frame.unitS * frame.units;

  it('time, date and ephemeris come when the units that bear them have arrived whole, and never before', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: (dataSetS - 200) * 10 }),
        fc.integer({ min: 0, max: frameS * 10 }),
        (towTenths, lockTenths) => {
          const tow = 10 * 7200 + frame.shiftS + towTenths / 10;
          const lockS = lockTenths / 10;
          const heard = (tS: number) => (tS >= lockS - ROUNDING_S ? lockS : null);
          const news = listen(system, { week: WEEK, towS: tow }, lockS + 2 * frameS + 5, heard, orbitClass);
          const expected: Array<readonly [Kind, number]> = [
            ['time', any(frame, frame.time, tow + lockS)],
            ['date', system === 'glonass' ? all(frame, frame.date, tow + lockS) : any(frame, frame.date, tow + lockS)],
            ['ephemeris', all(frame, frame.ephemeris, tow + lockS)],
          ];
          for (const [kind, endS] of expected) {
            const lateS = (news.find((item) => item.kind === kind)?.atS ?? Infinity) - (endS - tow);
            expect(lateS, kind).toBeGreaterThan(-2 * ROUNDING_S);
            expect(lateS, kind).toBeLessThan(STEP_S + ROUNDING_S);
          }
        },
      ),
      { numRuns: 60 },
    );
  });

  it('bits that break more often than a unit is long tell nothing', () => {
    const everyS = Math.min(frame.unitS * 0.9, 5);
    const news = listen(
      system,
      { week: WEEK, towS: 90_000 },
      200,
      (tS) => Math.floor(tS / everyS) * everyS,
      orbitClass,
    );
    expect(news).toEqual([]);
  });

  it('one break spoils one unit: all others are told', () => {
    const towS = 93_600 + frame.shiftS + TRAVEL_S;
    const breakS = frame.unitS * 2.5;
    const countIn = (heard: (tS: number) => number | null) =>
      listen(system, { week: WEEK, towS }, frameS * 2 + 1, heard, orbitClass).filter(({ kind }) => kind === 'time')
        .length;
    const whole = countIn(() => 0);
    const broken = countIn((tS) => (tS < breakS ? 0 : breakS));
    // The third unit: of Galileo it bears the time, of GLONASS it does not.
    expect(whole - broken).toBe(system === 'glonass' ? 0 : 1);
  });

  it('parts of two data sets are no ephemeris', () => {
    // From just after the beginning of the last frame of a set on.
    const changeS = 50_400 + frame.shiftS;
    const first = frame.ephemeris[0] as Need;
    const towS = changeS - frameS + (first[0] - 1) * frame.unitS + TRAVEL_S + 0.2;
    const lockS = 0;
    const news = listen(system, { week: WEEK, towS }, 3 * frameS, () => lockS, orbitClass);
    const expected = all(frame, frame.ephemeris, changeS + TRAVEL_S) - towS;
    const gotS = news.find(({ kind }) => kind === 'ephemeris')?.atS ?? Infinity;
    expect(gotS).toBeGreaterThan(expected - 2 * ROUNDING_S);
    expect(gotS).toBeLessThan(expected + STEP_S + ROUNDING_S);
  });
});

describe('GPS - UTC comes with its unit, once in its cycle', () => {
  it.each(FRAMES.filter(({ leap }) => leap.length > 0))('$system ($source)', (frame) => {
    for (const towS of [100_000.3, 345_678.9]) {
      const endS = any(frame, frame.leap, towS);
      const news = listen(frame.system, { week: WEEK, towS }, endS - towS + 1, () => 0, frame.orbitClass);
      const lateS = (news.find(({ kind }) => kind === 'leap')?.atS ?? Infinity) - (endS - towS);
      expect(lateS).toBeGreaterThan(-2 * ROUNDING_S);
      expect(lateS).toBeLessThan(STEP_S + ROUNDING_S);
    }
  });
});

describe('almanacs: every satellite of the system within the published cycle, once', () => {
  const ids = (letter: string, count: number, from = 1) =>
    Array.from({ length: count }, (_, i) => `${letter}${String(i + from).padStart(2, '0')}`);

  it.each([
    ['galileo', 'meo', 720, 'OS SIS ICD 2.1: 720 s, 36 satellites', ids('E', 36)],
    ['glonass', 'meo', 150, 'ICD 5.1, 4.3: 2.5 min, 24 satellites', ids('R', 24)],
    ['beidou', 'meo', 3 * 720, 'B1I 3.0: 12 min for 30, and by turns the rest of 63, from memory', ids('C', 63)],
    ['beidou', 'geo', 3 * 360, 'B1I 3.0: 6 min for 30, and by turns the rest of 63, from memory', ids('C', 63)],
  ] as const)('%s %s in %i s (%s)', (system, orbitClass, cycleS, _source, expected) => {
    const shiftS = { galileo: 1, glonass: GPS_MINUS_UTC_S, beidou: 14 }[system];
    const towS = 100 * cycleS + shiftS;
    const news = listen(system, { week: WEEK, towS }, cycleS + TRAVEL_S + STEP_S, () => 0, orbitClass);
    const told = news.filter(({ kind }) => kind === 'almanac').map(({ id }) => id as string);
    expect([...new Set(told)].sort()).toEqual(expected);
    if (system !== 'beidou') expect(told.length).toBe(expected.length);
  });

  it('a satellite of which only one half was heard is not told (GLONASS: strings 6 and 7)', () => {
    const towS = 150 * 100 + GPS_MINUS_UTC_S + TRAVEL_S;
    const news = listen('glonass', { week: WEEK, towS }, 40, (tS) => (tS < 12.5 ? null : 12.5));
    const told = news.filter(({ kind }) => kind === 'almanac').map(({ id }) => id);
    expect(told[0]).toBe('R02');
  });
});

describe('SBAS corrections (RTCA DO-229D, table A-25, from memory)', () => {
  it('are complete within two minutes, renewed every few seconds, and lapse when not heard', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 2399 }), (tenths) => {
        const news = listen('sbas', { week: WEEK, towS: 200_000 + tenths / 10 }, 200, () => 0, 'geo', 23);
        const told = news.filter(({ kind }) => kind === 'corrections').map(({ atS }) => atS);
        expect(told[0]).toBeGreaterThan(30);
        expect(told[0]).toBeLessThan(122);
        expect(told.slice(1).every((atS, i) => atS - (told[i] as number) < 6)).toBe(true);
      }),
      { numRuns: 20 },
    );
    const gap = (tS: number) => (tS < 200 ? 0 : tS < 700 ? null : 700);
    const news = listen('sbas', { week: WEEK, towS: 200_000 }, 900, gap, 'geo', 23);
    const told = news.filter(({ kind, atS }) => kind === 'corrections' && atS > 201).map(({ atS }) => atS);
    expect(told[0]).toBeGreaterThan(730);
  });

  it('its time comes within 300 s, its own orbit within 120', () => {
    const news = listen('sbas', { week: WEEK, towS: 200_000 }, 310, () => 0, 'geo', 23);
    expect(news.find(({ kind }) => kind === 'time')?.atS).toBeLessThan(302);
    expect(news.find(({ kind }) => kind === 'ephemeris')?.atS).toBeLessThan(122);
  });
});

describe('a message whose time jumps', () => {
  it.each([-3600, -7, -0.5, 0.5, 7, 86_400 * 70])(
    'by %d s: the unit in progress is lost, and nothing but it',
    (jumpS) => {
      const reader = new MessageReader(messagePlanOf({ system: 'gps', number: 1, orbitClass: 'meo' }));
      const news: News[] = [];
      let atS = 0;
      const to = recorder(news, () => atS);
      const base: GpsTime = { week: WEEK, towS: 90_000 };
      const jumpAtS = 20.05;
      for (let step = 0; step <= 600; step++) {
        atS = step * STEP_S;
        reader.step(atS, addSeconds(base, atS + (atS > jumpAtS ? jumpS : 0)), RANGE_M, 0, to);
      }
      const times = news.filter(({ kind }) => kind === 'time').map((item) => item.atS);
      const before = times.filter((at) => at < jumpAtS);
      const after = times.filter((at) => at > jumpAtS);
      // Units end 0.08 s after 6, 12, 18 s of the old time; then at multiples of 6 s of the new one.
      expect(before.map((at) => Math.floor(at / 6))).toEqual([1, 2, 3]);
      const firstWholeS = Math.ceil((20.1 + jumpS - TRAVEL_S) / 6) * 6 - jumpS + TRAVEL_S + 6;
      expect(after.length).toBe(Math.floor((60 - firstWholeS) / 6) + 1);
      expect(Math.abs((after[0] as number) - firstWholeS)).toBeLessThan(STEP_S + ROUNDING_S);
    },
  );

  it('a time that drifts slowly away costs no unit', () => {
    const reader = new MessageReader(messagePlanOf({ system: 'gps', number: 1, orbitClass: 'meo' }));
    const news: News[] = [];
    let atS = 0;
    const to = recorder(news, () => atS);
    for (let step = 0; step <= 600; step++) {
      atS = step;
      reader.step(atS, addSeconds({ week: WEEK, towS: 90_000 }, atS * 1.01), RANGE_M, 0, to);
    }
    // It runs through 606 s, of which the first and the last are not whole units for the travel time.
    expect(news.filter(({ kind }) => kind === 'time').length).toBe(100);
  });
});

describe('GLONASS frames stand still against UTC', () => {
  it('the leap second of 2016-12-31 (IERS) moves them by a second of GPS time, and spoils one string', () => {
    const midnight = gpsFromUtc(parseUtc('2017-01-01T00:00:00Z'));
    const news = listen('glonass', addSeconds(midnight, -91), 182, () => 0);
    const times = news.filter(({ kind }) => kind === 'time').map(({ atS }) => atS);
    // String 1 ends 2 s after each half minute of UTC; of the seconds before midnight one is the leap second.
    const expected = [2, 32, 62, 93, 123, 153].map((atS) => atS + TRAVEL_S);
    expect(times.length).toBe(expected.length);
    for (const [i, atS] of times.entries()) {
      expect(atS).toBeGreaterThan((expected[i] as number) - ROUNDING_S);
      expect(atS).toBeLessThan((expected[i] as number) + STEP_S + ROUNDING_S);
    }
  });

  it('so does a fictional one, if the reader is told', () => {
    const leap = PUBLISHED_LEAP_SECONDS.withOneMore(dayNumberOf(2030, 6, 30));
    const midnight = gpsFromUtc(parseUtc('2030-07-01T00:00:00Z'), leap);
    const reader = new MessageReader(messagePlanOf({ system: 'glonass', number: 1, orbitClass: 'meo' }), leap);
    const news: News[] = [];
    let atS = 0;
    const to = recorder(news, () => atS);
    for (; atS < 100; atS += STEP_S) reader.step(atS, addSeconds(midnight, atS), RANGE_M, 0, to);
    const first = news.find(({ kind }) => kind === 'time') as News;
    // 0.08 s of travel: the string that begins at midnight begins to arrive after the start.
    expect(first.atS).toBeGreaterThan(2);
    expect(first.atS).toBeLessThan(2.3);
  });
});
