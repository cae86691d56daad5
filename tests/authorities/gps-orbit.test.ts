import { describe, expect, it } from 'vitest';
import { addSeconds, type GpsTime, gpsFromUtc, parseUtc, secondsBetween } from '../../src/base/time.js';
import { almanacSatellites } from '../../src/sim/sky/almanac.js';
import type { OrbitState, Satellite } from '../../src/sim/sky/orbit.js';
import { parseYuma } from '../../src/sim/sky/yuma.js';
import { almanacText, hasAlmanacFile, QUOTED_ALMANAC, readAlmanac } from './almanac-2197.js';
import { type AlmanacElements, difference, earthFixedPosition, inertialPosition, length } from './table-20-iv.js';

const MILLIMETRE_M = 0.001;
/** The central difference over 1 s leaves a sixth of the third derivative: 0.1 mm/s; rounding of positions less. */
const VELOCITY_MPS = 2e-4;
const STEP_S = 900;
const DAY_S = 86_400;
const WEEK_2197 = 2197;
const TOA = { week: WEEK_2197, towS: 405_504 };

function blank(): OrbitState {
  return { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
}

function stateOf(satellite: Satellite, tS: number): OrbitState {
  const state = blank();
  satellite.orbit.stateAt(tS, state);
  return state;
}

function satellitesAt(text: string, start: GpsTime, shift = false): Satellite[] {
  return almanacSatellites(parseYuma(text, 'almanac'), start, shift, 'almanac');
}

function elementsOf(text: string, { number }: Satellite): AlmanacElements {
  return readAlmanac(text).find(({ prn }) => prn === number) as AlmanacElements;
}

/** Largest distance from table 20-IV over a day from `start` on, m; `shiftS` is added to the almanac's own time. */
function worstM(text: string, start: GpsTime, satellites: readonly Satellite[], shiftS = 0): number {
  let worst = 0;
  for (const satellite of satellites) {
    const elements = elementsOf(text, satellite);
    for (let tS = 0; tS <= DAY_S; tS += STEP_S) {
      const { xM, yM, zM } = stateOf(satellite, tS);
      const sinceToaS = secondsBetween(start, TOA) + tS + shiftS;
      worst = Math.max(worst, length(difference([xM, yM, zM], earthFixedPosition(elements, sinceToaS))));
    }
  }
  return worst;
}

describe('IS-GPS-200, table 20-IV, on the US Coast Guard’s YUMA almanac of GPS week 2197', () => {
  it('PRN 1 and 2, quoted: within 1 mm over a day, from the time of applicability on', () => {
    const satellites = satellitesAt(QUOTED_ALMANAC, TOA);
    expect(satellites.map(({ id }) => id)).toEqual(['G01', 'G02']);
    expect(worstM(QUOTED_ALMANAC, TOA, satellites)).toBeLessThan(MILLIMETRE_M);
  });

  it.skipIf(!hasAlmanacFile)('all 31 satellites of yuma-week2197.txt: within 1 mm over a day', () => {
    const text = almanacText();
    const satellites = satellitesAt(text, TOA);
    expect(satellites.length).toBe(31);
    expect(worstM(text, TOA, satellites)).toBeLessThan(MILLIMETRE_M);
  });

  it.each([-170, -30, 100, 170])('%i days from its time of applicability: still within 1 mm', (days) => {
    const start = addSeconds(TOA, days * DAY_S + 1234.5);
    expect(worstM(QUOTED_ALMANAC, start, satellitesAt(QUOTED_ALMANAC, start))).toBeLessThan(MILLIMETRE_M);
  });

  it('velocity is the derivative of position', () => {
    for (const satellite of satellitesAt(almanacText(), TOA)) {
      for (let tS = 0; tS < DAY_S; tS += 4 * STEP_S) {
        const [before, now, after] = [
          stateOf(satellite, tS - 0.5),
          stateOf(satellite, tS),
          stateOf(satellite, tS + 0.5),
        ];
        const offMps = Math.hypot(
          after.xM - before.xM - now.vxMps,
          after.yM - before.yM - now.vyMps,
          after.zM - before.zM - now.vzMps,
        );
        expect(offMps, `${satellite.id} at ${tS}`).toBeLessThan(VELOCITY_MPS);
      }
    }
  });

  it('radius stays between perigee and apogee, height of z within the inclination, period as Kepler’s third law says', () => {
    const text = almanacText();
    for (const satellite of satellitesAt(text, TOA)) {
      const elements = elementsOf(text, satellite);
      const semiMajorM = elements.rootSemiMajor ** 2;
      const periodS = 2 * Math.PI * Math.sqrt(semiMajorM ** 3 / 3.986005e14);
      for (let tS = 0; tS < DAY_S; tS += STEP_S) {
        const { xM, yM, zM } = stateOf(satellite, tS);
        const radiusM = Math.hypot(xM, yM, zM);
        expect(Math.abs(radiusM / semiMajorM - 1)).toBeLessThan(elements.eccentricity + Number.EPSILON * 4);
        expect(Math.abs(zM / radiusM)).toBeLessThan(Math.sin(elements.inclinationRad) + Number.EPSILON * 4);
      }
      const later = stateOf(satellite, 1000 + periodS);
      expect(Math.abs(stateOf(satellite, 1000).zM - later.zM)).toBeLessThan(MILLIMETRE_M);
      expect(length(inertialPosition(elements, 1000)) - Math.hypot(later.xM, later.yM, later.zM)).toBeLessThan(
        MILLIMETRE_M,
      );
    }
  });
});

describe('the almanac’s 10-bit week', () => {
  it('week 149 is the one nearest to the start: 2197, of February 2022', () => {
    const start = gpsFromUtc(parseUtc('2022-02-18T09:30:00Z'));
    expect(start.week).toBe(WEEK_2197);
    expect(worstM(QUOTED_ALMANAC, start, satellitesAt(QUOTED_ALMANAC, start))).toBeLessThan(MILLIMETRE_M);
  });

  it.each([
    ['2002-07-04T00:00:00Z', 1173],
    ['2041-10-03T00:00:00Z', 3221],
  ])('in %s it is week %i, the one that rollovers give', (text, week) => {
    const start = gpsFromUtc(parseUtc(text));
    expect(week % 1024).toBe(149);
    expect(start.week).toBe(week);
    const satellites = satellitesAt(QUOTED_ALMANAC, start);
    const shiftS = secondsBetween(TOA, { week, towS: TOA.towS });
    expect(worstM(QUOTED_ALMANAC, start, satellites, shiftS)).toBeLessThan(MILLIMETRE_M);
  });

  it('across a rollover: week 1023 serves a start in week 2048, week 0 one in week 2047', () => {
    const withWeek = (week: number) => QUOTED_ALMANAC.replaceAll(/^week:.*$/gm, `week: ${week}`);
    const after = { week: 2048, towS: 1000 };
    const before = { week: 2047, towS: 600_000 };
    const early = satellitesAt(withWeek(1023), after);
    const late = satellitesAt(withWeek(0), before);
    const offAfterS = secondsBetween(TOA, { week: 2047, towS: TOA.towS });
    const offBeforeS = secondsBetween(TOA, { week: 2048, towS: TOA.towS });
    expect(worstM(QUOTED_ALMANAC, after, early, offAfterS)).toBeLessThan(MILLIMETRE_M);
    expect(worstM(QUOTED_ALMANAC, before, late, offBeforeS)).toBeLessThan(MILLIMETRE_M);
  });

  it('a full week number is taken as it stands', () => {
    const text = QUOTED_ALMANAC.replaceAll(/^week:.*$/gm, 'week: 2197');
    expect(worstM(text, TOA, satellitesAt(text, TOA))).toBeLessThan(MILLIMETRE_M);
    expect(() => satellitesAt(text, gpsFromUtc(parseUtc('2002-07-04T00:00:00Z')))).toThrow('almanac.age');
  });

  it('over 180 days away is refused with the week, the days and the way out', () => {
    const start = gpsFromUtc(parseUtc('2026-03-01T00:00:00Z'));
    expect(() => satellitesAt(QUOTED_ALMANAC, start)).toThrow(
      /^almanac\.age: almanac: expected an almanac within 180 days .*, got GPS week 2197, 1472 days before it\. .*sky\.shift/,
    );
  });

  it('with shift, another date shows the almanac’s own sky: by whole weeks, so that the time of week keeps its meaning', () => {
    const start = gpsFromUtc(parseUtc('2026-03-01T07:00:00Z'));
    const satellites = satellitesAt(QUOTED_ALMANAC, start, true);
    const weeks = Math.round(secondsBetween(TOA, start) / 604_800);
    const worst = worstM(QUOTED_ALMANAC, start, satellites, weeks * 604_800);
    expect(worst).toBeLessThan(MILLIMETRE_M);
  });
});
