import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../../src/base/error.js';
import { almanacSatellites, parseAlmanac } from '../../../src/sim/sky/almanac.js';
import type { AlmanacEntry } from '../../../src/sim/sky/almanac-entry.js';
import type { KeplerRecord } from '../../../src/sim/sky/broadcast-record.js';
import { KeplerOrbit } from '../../../src/sim/sky/kepler-orbit.js';
import type { OrbitState, Satellite } from '../../../src/sim/sky/orbit.js';
import { parseSem } from '../../../src/sim/sky/sem.js';
import { parseYuma } from '../../../src/sim/sky/yuma.js';
import { almanacText, QUOTED_ALMANAC } from '../../authorities/almanac-2197.js';

/** SEM prints angles to 15 digits here as files do; YUMA to ten: half a unit of its last digit, rad, at 2.7e7 m. */
const SAME_M = 0.1;
/** What the interpolation of an orbit leaves. */
const INTERPOLATED_M = 1e-4;
const START = { week: 2197, towS: 400_000 };

function semOf(entries: readonly AlmanacEntry[]): string {
  const turn = (angleRad: number) => (angleRad / Math.PI).toExponential(14);
  const number = (value: number) => value.toExponential(14);
  const blocks = entries.map((e) =>
    [
      `${e.prn}`,
      '63',
      '0',
      ` ${number(e.eccentricity)} ${number(e.inclinationRad / Math.PI - 0.3)} ${turn(e.nodeRateRadps)}`,
      ` ${number(e.rootSemiMajor)} ${turn(e.nodeRad)} ${turn(e.perigeeRad)}`,
      ` ${turn(e.meanAnomalyRad)} ${number(e.af0S)} ${number(e.af1)}`,
      `${e.health}`,
      '11',
    ].join('\n'),
  );
  return `${entries.length}  CURRENT.ALM\n ${entries[0]?.week} ${entries[0]?.toaS}\n\n${blocks.join('\n\n')}\n`;
}

const ENTRIES = parseYuma(almanacText(), 'week.txt');
const SEM = semOf(parseYuma(QUOTED_ALMANAC, 'week.txt'));

function failure(text: string): LodestubError {
  try {
    parseSem(text, 'week.al3');
  } catch (error) {
    if (error instanceof LodestubError) return error;
    throw error;
  }
  throw new Error('no error');
}

describe('a SEM almanac', () => {
  it('US Coast Guard almanac of week 2197, written as SEM: the orbits of the YUMA file', () => {
    const yuma = almanacSatellites(ENTRIES, START, false, 'week.txt');
    const sem = almanacSatellites(parseAlmanac(semOf(ENTRIES), 'week.al3'), START, false, 'week.al3');
    expect(sem.map(({ id, statusAt }) => [id, statusAt(0)])).toEqual(yuma.map(({ id, statusAt }) => [id, statusAt(0)]));
    for (const [i, satellite] of sem.entries()) {
      const [a, b] = [blank(), blank()];
      for (const tS of [0, 43_200, 86_400]) {
        satellite.orbit.stateAt(tS, a);
        (yuma[i] as Satellite).orbit.stateAt(tS, b);
        expect(Math.hypot(a.xM - b.xM, a.yM - b.yM, a.zM - b.zM), satellite.id).toBeLessThan(SAME_M);
      }
    }
  });

  it('YUMA and SEM are told apart', () => {
    expect(parseAlmanac(QUOTED_ALMANAC, 'week.txt')).toEqual(parseYuma(QUOTED_ALMANAC, 'week.txt'));
    expect(parseAlmanac(SEM, 'week.al3')).toEqual(parseSem(SEM, 'week.al3'));
    expect(parseAlmanac(`\n\n${SEM.replaceAll('\n', '\r\n')}`, 'week.al3')).toEqual(parseSem(SEM, 'week.al3'));
  });

  it.each([
    ['an empty file', '', 'almanac.empty', /SEM/],
    ['a file that was cut off', SEM.slice(0, -30), 'almanac.incomplete', /2 satellites of 8 lines/],
    ['letters for a number', SEM.replace('5.153', '5.1x3'), 'almanac.line', /line 8/],
    ['two values of three', SEM.replace(/( \S+ \S+) \S+\n(.*\n)/, '$1\n$2'), 'almanac.line', /./],
    ['an eccentricity of 0.9', SEM.replace(/1\.139\d+e-2/, '0.9'), 'almanac.range', /0 to 0\.1/],
    ['a satellite that stands there twice', SEM.replace('\n2\n63', '\n1\n63'), 'almanac.twice', /satellite 1/],
    ['more satellites than it says', SEM.replace('2  CURRENT', '1  CURRENT'), 'almanac.line', /end of the file/],
  ])('refuses %s', (_, text, code, says) => {
    const error = failure(text);
    expect(error.code).toBe(code);
    expect(error.message).toMatch(says);
    expect(error.message).toContain('week.al3');
  });

  it('cut or damaged anywhere: entries, or one clear error', () => {
    const damage = fc.tuple(fc.nat(SEM.length - 1), fc.constantFrom(...'0123456789-+.e \nx'));
    fc.assert(
      fc.property(fc.array(damage, { minLength: 1, maxLength: 4 }), (damages) => {
        let text = SEM;
        for (const [at, by] of damages) text = text.slice(0, at) + by + text.slice(at + 1);
        try {
          expect(parseSem(text, 'week.al3').length).toBeGreaterThan(0);
        } catch (error) {
          if (!(error instanceof LodestubError)) throw error;
          expect(error.code).toMatch(/^almanac\./);
        }
      }),
    );
  });
});

describe('what the satellites of an almanac broadcast', () => {
  const [satellite] = almanacSatellites(ENTRIES, START, false, 'week.txt') as [Satellite];

  it('a record for each even hour, nearest in force, with issues of data of their own', () => {
    const records = satellite.broadcast.records(0, 20_000);
    // 400,000 s is 400 s after the middle of two even hours of the week; one before is listed too.
    expect(records.map(({ toe }) => toe.towS)).toEqual([396_000, 403_200, 410_400, 417_600]);
    expect(satellite.broadcast.recordAt(0)).toEqual(records[1]);
    expect(satellite.broadcast.recordAt(-401).toe.towS).toBe(396_000);
    const issues = records.map((record) => (record.kind === 'kepler' ? record.iode : -1));
    expect(new Set(issues).size).toBe(4);
  });

  it('each of them tells the almanac’s orbit', () => {
    const [a, b] = [blank(), blank()];
    for (const record of satellite.broadcast.records(0, 50_000)) {
      satellite.orbit.stateAt(30_000, a);
      new KeplerOrbit(record as KeplerRecord, START).stateAt(30_000, b);
      expect(Math.hypot(a.xM - b.xM, a.yM - b.yM, a.zM - b.zM)).toBeLessThan(INTERPOLATED_M);
    }
  });
});

function blank(): OrbitState {
  return { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
}
