import { describe, expect, it } from 'vitest';
import { PUBLISHED_LEAP_SECONDS } from '../../src/base/leap-seconds.js';
import { addSeconds, gpsFromUtc, secondsBetween } from '../../src/base/time.js';
import { TYPICAL_KLOBUCHAR } from '../../src/sim/signal/atmosphere/klobuchar.js';
import type { BroadcastRecord, KeplerRecord, StateRecord } from '../../src/sim/sky/broadcast-record.js';
import { referenceSatellites } from '../../src/sim/sky/constellations/index.js';
import { parseNavigation } from '../../src/sim/sky/rinex/navigation.js';
import { SYSTEM_NAMES, type SystemName, satelliteId } from '../../src/sim/sky/system.js';
import { writeNavigation } from '../../src/truth/rinex/navigation.js';
import { recordLines } from '../../src/truth/rinex/navigation-record.js';
import { dataText, hasData } from '../authorities/open-data.js';
import { type ReadRecord, readNavigation, readRecords } from './rinex-reader.js';

/** D19.12 keeps 13 digits. */
const LAST_DIGIT = 1e-12;

const TOE = gpsFromUtc({ year: 2026, month: 2, day: 2, hour: 10, minute: 0, second: 0 }, PUBLISHED_LEAP_SECONDS);
const WEEK = 2404;
/** Monday, 10:00:18 of GPS time. */
const TOW = 86_400 + 36_018;

const KEPLER: KeplerRecord = {
  kind: 'kepler',
  id: 'G05',
  system: 'gps',
  isHealthy: true,
  sentAt: addSeconds(TOE, -7200),
  toc: TOE,
  clock: { af0S: -1.25e-4, af1: 2.5e-12, af2PerS: 1e-19 },
  toe: TOE,
  rootSemiMajor: 5153.7,
  eccentricity: 0.01,
  inclinationRad: 0.96,
  inclinationRateRadps: 3e-11,
  nodeRad: -2.5,
  nodeRateRadps: -8e-9,
  perigeeRad: 1.5,
  meanAnomalyRad: -0.5,
  meanMotionDeltaRadps: 4e-9,
  cucRad: 1e-6,
  cusRad: 2e-6,
  cicRad: 3e-8,
  cisRad: 4e-8,
  crcM: 250,
  crsM: -50,
  iode: 61,
  iodc: 317,
  accuracyM: 2.8,
  healthBits: 63,
  dataSource: 517,
  fitHours: 6,
  groupDelaysS: [-5e-9, 7e-9],
};

function kepler(system: SystemName, others: Partial<KeplerRecord> = {}): KeplerRecord {
  return { ...KEPLER, system, id: satelliteId(system, 5), ...others };
}

const STATE: StateRecord = {
  kind: 'state',
  id: 'R05',
  system: 'glonass',
  isHealthy: true,
  sentAt: addSeconds(TOE, -900),
  toe: TOE,
  positionM: [1.1e7, -2.2e7, 3.3e6],
  velocityMps: [100, 2000, -3000],
  accelerationMps2: [1e-6, 2e-6, -3e-6],
  clockBiasS: 6e-5,
  clockDrift: 9e-13,
  frequencyNumber: -4,
  healthBits: 1,
  age: 2,
  accuracyM: 4,
};

function read(record: BroadcastRecord): ReadRecord {
  const text = recordLines(record, PUBLISHED_LEAP_SECONDS);
  const [only, ...others] = readRecords(text.slice(0, -1).split('\n'));
  expect(others).toEqual([]);
  return only as ReadRecord;
}

describe('navigation records (RINEX 3.04, tables A6 to A18)', () => {
  const orbit = [
    [61, -50, 4e-9, -0.5],
    [1e-6, 0.01, 2e-6, 5153.7],
  ];
  const plane = [0.96, 250, 1.5, -8e-9];

  it('GPS: week and seconds of GPS, fit interval in hours (table A6)', () => {
    expect(read(kepler('gps'))).toEqual({
      id: 'G05',
      date: [2026, 2, 2, 10, 0, 18],
      rows: [
        [-1.25e-4, 2.5e-12, 1e-19],
        ...orbit,
        [TOW, 3e-8, -2.5, 4e-8],
        plane,
        [3e-11, 1, WEEK, 0],
        [2.8, 63, -5e-9, 317],
        [TOW - 7200, 6],
      ],
    });
  });

  it('QZSS: fixed codes, the fit interval as a flag (table A12)', () => {
    const { rows } = read(kepler('qzss'));
    expect(rows.slice(5)).toEqual([
      [3e-11, 2, WEEK, 1],
      [2.8, 63, -5e-9, 317],
      [TOW - 7200, 0],
    ]);
  });

  it('Galileo: data sources, GPS weeks, both group delays (table A8)', () => {
    const { rows } = read(kepler('galileo'));
    expect(rows.slice(5)).toEqual([[3e-11, 517, WEEK], [2.8, 63, -5e-9, 7e-9], [TOW - 7200]]);
  });

  it('BeiDou: weeks and seconds of its own time (table A14)', () => {
    const { date, rows } = read(kepler('beidou'));
    expect(date).toEqual([2026, 2, 2, 10, 0, 4]);
    expect(rows[3]?.[0]).toBe(TOW - 14);
    expect(rows.slice(5)).toEqual([
      [3e-11, 0, WEEK - 1356],
      [2.8, 63, -5e-9, 7e-9],
      [TOW - 14 - 7200, 317],
    ]);
  });

  it('NavIC: GPS weeks, one group delay (table A18)', () => {
    const { rows } = read(kepler('navic'));
    expect(rows.slice(5)).toEqual([[3e-11, 0, WEEK], [2.8, 63, -5e-9], [TOW - 7200]]);
  });

  it('the time of sending is counted in the week of the reference time, where it may be negative', () => {
    const toe = { week: WEEK, towS: 0 };
    const { rows } = read(kepler('gps', { toe, toc: toe, sentAt: addSeconds(toe, -7200) }));
    expect(rows[7]?.[0]).toBe(-7200);
    const first = read(kepler('beidou', { toe: { week: WEEK, towS: 14 } }));
    expect([first.rows[3]?.[0], first.rows[5]?.[2]]).toEqual([0, WEEK - 1356]);
    const last = read(kepler('beidou', { toe: { week: WEEK, towS: 13 } }));
    expect([last.rows[3]?.[0], last.rows[5]?.[2]]).toEqual([604_799, WEEK - 1357]);
  });

  it('GLONASS: epoch and frame time in UTC, kilometres, frequency number (table A10)', () => {
    expect(read(STATE)).toEqual({
      id: 'R05',
      date: [2026, 2, 2, 10, 0, 0],
      rows: [
        [6e-5, 9e-13, 86_400 + 36_000 - 900],
        [11_000, 0.1, 1e-9, 1],
        [-22_000, 2, 2e-9, -4],
        [3300, -3, -3e-9, 2],
      ],
    });
  });

  it('SBAS: GPS time, kilometres, accuracy (table A16)', () => {
    const { date, rows } = read({ ...STATE, system: 'sbas', id: 'S23', frequencyNumber: 0 });
    expect(date).toEqual([2026, 2, 2, 10, 0, 18]);
    expect(rows[0]).toEqual([6e-5, 9e-13, TOW - 900]);
    expect(rows[2]?.[3]).toBe(4);
  });
});

describe('navigation file', () => {
  const start = addSeconds(TOE, 137);
  const satellites = referenceSatellites(SYSTEM_NAMES, start);
  let text = '';
  const facts = {
    satellites,
    klobuchar: TYPICAL_KLOBUCHAR,
    start,
    durationS: 600,
    leapSeconds: PUBLISHED_LEAP_SECONDS,
  };
  writeNavigation((piece) => {
    text += piece;
  }, facts);
  const { header, records } = readNavigation(text);
  const contents = (label: string) => header.filter((line) => line.label === label).map(({ content }) => content);

  it('has a header as table A5 of RINEX 3.04 has it', () => {
    expect(header[0]?.content.trimEnd()).toBe('     3.04           N: GNSS NAV DATA    M (MIXED)');
    expect(contents('IONOSPHERIC CORR').map((line) => line.slice(0, 5))).toEqual(['GPSA ', 'GPSB ']);
    const alpha = contents('IONOSPHERIC CORR')[0] as string;
    const read = [0, 1, 2, 3].map((i) => Number(alpha.slice(5 + 12 * i, 17 + 12 * i).replace('D', 'e')));
    for (const [i, value] of read.entries()) {
      // Four decimals of D12.4.
      expect(Math.abs(value / (TYPICAL_KLOBUCHAR.alpha[i] as number) - 1)).toBeLessThan(0.5e-4);
    }
    expect(contents('TIME SYSTEM CORR')[0]?.trimEnd()).toBe('GPUT  0.0000000000D+00 0.000000000D+00 122555 2404');
    const references = contents('TIME SYSTEM CORR').map((line) => [line.slice(0, 4), line.slice(38, 50)]);
    expect(Object.fromEntries(references)).toEqual({
      GPUT: ' 122555 2404',
      GLUT: '      0    0',
      GAUT: ' 122555 2404',
      BDUT: ' 122541 1048',
      QZUT: ' 122555 2404',
      IRUT: ' 122555 2404',
    });
    expect(contents('LEAP SECONDS')[0]?.trimEnd()).toBe('    18');
  });

  it('tells of every satellite before, during and after the run', () => {
    const toes = new Map<string, number[]>();
    for (const record of parseNavigation(text, 'it').records) {
      const list = toes.get(record.id) ?? [];
      list.push(secondsBetween(record.toe, start));
      toes.set(record.id, list);
    }
    expect([...toes.keys()].sort()).toEqual(satellites.map(({ id }) => id).sort());
    for (const [id, list] of toes) {
      expect(Math.min(...list), id).toBeLessThanOrEqual(0);
      expect(Math.max(...list), id).toBeGreaterThanOrEqual(600 - 1800);
    }
    expect(records.length).toBeGreaterThan(satellites.length);
  });

  it('is read back by the reader of navigation files as the records that were written', () => {
    const back = new Map(parseNavigation(text, 'it').records.map((r) => [`${r.id} ${r.toe.week} ${r.toe.towS}`, r]));
    for (const { broadcast, system } of satellites) {
      if (system === 'sbas') continue;
      for (const record of broadcast.records(0, 600)) {
        const found = back.get(`${record.id} ${record.toe.week} ${record.toe.towS}`);
        expect(found, record.id).toBeDefined();
        expectAlike(found as BroadcastRecord, record);
      }
    }
  });
});

/** Every number alike to the last digit written; the rest equal. What the file does not tell is left out. */
function expectAlike(found: object, record: object): void {
  for (const [key, value] of Object.entries(record)) {
    const other = (found as Record<string, unknown>)[key];
    if (UNTOLD.has(key)) continue;
    if (typeof value === 'number') {
      const scale = Math.max(Math.abs(value), Number.MIN_VALUE);
      expect(Math.abs((other as number) - value) / scale, key).toBeLessThan(LAST_DIGIT);
    } else if (typeof value === 'object' && value !== null) {
      expectAlike(other as object, value);
    } else expect(other, key).toBe(value);
  }
}

/** NavIC's and Galileo's one issue of data, QZSS's fit interval, SBAS's. */
const UNTOLD = new Set(['iodc', 'fitHours']);

const FILE = 'nav/mixed-2020-177.rnx.gz';

/** Columns that receivers leave blank or fill by their own choice: codes and flags of L2, spares, a fit flag. */
const OWN_CHOICE = new Set(['G5.1', 'G5.3', 'G7.1', 'J5.1', 'J5.3', 'J7.1', 'C5.1', 'R0.2', 'R3.3', 'S0.2']);

describe('against a station’s navigation file', () => {
  it.skipIf(!hasData(FILE))(
    'every record of mixed-2020-177.rnx (RINEX 3.05, a survey receiver’s) comes out in the same columns ' +
      '[skipped without ../shared/data]',
    () => {
      const original = dataText(FILE);
      const lines = original.replaceAll('\r', '').split('\n');
      const body = lines
        .slice(lines.findIndex((line) => line.includes('END OF HEADER')) + 1)
        .filter((line) => line !== '');
      const raw = readRecords(
        body.map((line) => line.trimEnd()),
        5,
      );
      const parsed = parseNavigation(original, FILE).records;
      const rawByKey = new Map(raw.map((record) => [keyOf(record), record]));
      let compared = 0;
      for (const record of parsed) {
        const ours = read(record);
        const theirs = rawByKey.get(keyOf(ours));
        if (theirs === undefined) continue;
        compared++;
        for (const [row, values] of theirs.rows.slice(0, ours.rows.length).entries()) {
          for (const [place, value] of values.entries()) {
            if (value === null || OWN_CHOICE.has(`${ours.id.charAt(0)}${row}.${place}`)) continue;
            expect(
              Math.abs((ours.rows[row]?.[place] as number) - value),
              `${keyOf(ours)} ${row}.${place}`,
            ).toBeLessThan(Math.abs(value) * LAST_DIGIT + Number.MIN_VALUE);
          }
        }
      }
      // All but the second messages of satellites that send two kinds, which the reader leaves out.
      expect(compared / parsed.length).toBeGreaterThan(0.99);
    },
  );
});

/** Satellite, epoch, and what tells records of one epoch apart: source or issue. */
function keyOf({ id, date, rows }: ReadRecord): string {
  const source = id.startsWith('E') ? rows[5]?.[1] : 0;
  return `${id} ${date.join(' ')} ${source} ${id.startsWith('R') ? 0 : rows.at(-1)?.[0]}`;
}
