import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../../src/base/error.js';
import { gpsFromUtc, parseUtc, secondsBetween } from '../../../src/base/time.js';
import type { KeplerRecord, StateRecord } from '../../../src/sim/sky/broadcast-record.js';
import { navigationSatellites } from '../../../src/sim/sky/navigation-sky.js';
import { parseNavigation } from '../../../src/sim/sky/rinex/navigation.js';
import { SYSTEM_NAMES } from '../../../src/sim/sky/system.js';
import { G02_BEGIN, G02_VALUES, header, headerLine, R01_VALUES, recordText, replaced } from './rinex-text.js';

const NAME = 'brdc.rnx';
const GPS_2 = header('2', 'N', headerLine('    15', 'LEAP SECONDS')) + recordText(G02_BEGIN, 3, G02_VALUES);
const epoch3 = (id: string) => `${id} 2010 07 01 00 00 00`;
const threeOf = (...records: readonly string[]) => header('3.04', 'N: GNSS NAV DATA    M: MIXED') + records.join('');
const G02_3 = recordText(epoch3('G02'), 4, G02_VALUES, 'E');

function failure(text: string): LodestubError {
  try {
    parseNavigation(text, NAME);
  } catch (error) {
    if (error instanceof LodestubError) return error;
    throw error;
  }
  throw new Error('no error');
}

function keplerOf(text: string, index = 0): KeplerRecord {
  return parseNavigation(text, NAME).records[index] as KeplerRecord;
}

describe('reading a RINEX navigation file', () => {
  it('version 2 of GPS: every value at its place (RINEX 2.11, table A4)', () => {
    const { version, records, leapSeconds, klobuchar } = parseNavigation(GPS_2, NAME);
    expect({ version, leapSeconds, klobuchar }).toEqual({ version: 2, leapSeconds: 15, klobuchar: null });
    const midnight = { week: 1590, towS: 345_600 };
    expect(records).toEqual([
      {
        kind: 'kepler',
        id: 'G02',
        system: 'gps',
        isHealthy: true,
        toc: midnight,
        toe: midnight,
        sentAt: { week: 1590, towS: 338_418 },
        clock: { af0S: 0.269108917564e-3, af1: 0.318323145621e-11, af2PerS: 0 },
        iode: 85,
        crsM: 41.4375,
        meanMotionDeltaRadps: 0.525557597442e-8,
        meanAnomalyRad: 1.65772167412,
        cucRad: 0.232271850109e-5,
        eccentricity: 0.960697804112e-2,
        cusRad: 0.61746686697e-5,
        rootSemiMajor: 5153.59739113,
        cicRad: -0.558793544769e-8,
        nodeRad: -1.27458719764,
        cisRad: 0.167638063431e-6,
        inclinationRad: 0.94,
        crcM: 270,
        perigeeRad: 2.9,
        nodeRateRadps: -0.84e-8,
        inclinationRateRadps: 0.2e-9,
        accuracyM: 2,
        healthBits: 0,
        groupDelaysS: [-0.17e-7, 0],
        iodc: 85,
        fitHours: 4,
        dataSource: 0,
      },
    ]);
  });

  it('versions 3 and 4 say the same as version 2', () => {
    const expected = parseNavigation(GPS_2, NAME).records;
    expect(parseNavigation(threeOf(G02_3), NAME).records).toEqual(expected);
    const four = `${header('4.00', 'N: GNSS NAV DATA    M: MIXED')}> EPH G02 LNAV\n${G02_3}`;
    expect(parseNavigation(four, NAME).records).toEqual(expected);
    expect(parseNavigation(threeOf(G02_3).replaceAll('\n', '\r\n'), NAME).records).toEqual(expected);
  });

  it('version 4: ionosphere read, other messages skipped', () => {
    const text = [
      header('4.01', 'N: GNSS NAV DATA    M: MIXED', headerLine('    18', 'LEAP SECONDS')),
      recordText('> STO G   LNAV\n    2010 07 01 00 00 00 GPUT', 4, [1, 2, 3, 4, 5]),
      recordText('> EOP G02 CNVX\n    2010 07 01 00 00 00', 4, [1, 2, 3, 4, 5, 6]),
      recordText('> EPH G02 CNAV\nG02 2010 07 01 00 00 00', 4, G02_VALUES),
      recordText('> ION G02 LNAV\n    2010 07 01 00 00 00', 4, [1e-8, 2e-8, 3e-8, 4e-8, 5e4, 6e4, 7e4, 8e4, 1]),
      `> EPH R01 FDMA\n${recordText('R01 2020 06 24 23 15 00', 4, [...R01_VALUES, 1, 2, 3, 4])}`,
      `> EPH G02 LNAV\n${G02_3}`,
    ].join('');
    const { records, klobuchar, leapSeconds, version } = parseNavigation(text, NAME);
    expect(records.map(({ id }) => id)).toEqual(['R01', 'G02']);
    expect(klobuchar).toEqual({ alpha: [1e-8, 2e-8, 3e-8, 4e-8], beta: [5e4, 6e4, 7e4, 8e4] });
    expect([leapSeconds, version]).toEqual([18, 4.01]);
  });

  it('coefficients of Klobuchar’s model from the headers of versions 2 and 3', () => {
    const expected = { alpha: [4.657e-9, 1.49e-8, -5.96e-8, -1.192e-7], beta: [81_920, 81_920, -65_540, -524_300] };
    const alpha = '    0.4657D-08  0.1490D-07 -0.5960D-07 -0.1192D-06';
    const beta = '    0.8192D+05  0.8192D+05 -0.6554D+05 -0.5243D+06';
    const two = header('2.10', 'N', headerLine(alpha, 'ION ALPHA'), headerLine(beta, 'ION BETA'));
    const label = 'IONOSPHERIC CORR';
    const lines = [headerLine(`GPSA ${alpha.slice(2)}`, label), headerLine(`GPSB ${beta.slice(2)}`, label)];
    const three = header('3.02', 'N', ...lines);
    expect(parseNavigation(two + recordText(G02_BEGIN, 3, G02_VALUES), NAME).klobuchar).toEqual(expected);
    expect(parseNavigation(three + G02_3, NAME).klobuchar).toEqual(expected);
  });

  it('BeiDou’s times are its own, 14 s later in GPS time', () => {
    const { toe, toc, sentAt } = keplerOf(threeOf(recordText(epoch3('C11'), 4, replaced(G02_VALUES, { 26: 0 }))));
    expect([toe, toc]).toEqual([
      { week: 1590, towS: 345_614 },
      { week: 1590, towS: 345_614 },
    ]);
    expect(sentAt).toEqual({ week: 1590, towS: 338_432 });
  });

  it('takes I/NAV of Galileo, F/NAV only from a satellite without any', () => {
    const galileo = (id: string, source: number) =>
      recordText(epoch3(id), 4, replaced(G02_VALUES, { 10: 5440.6, 20: source, 26: 0 }));
    const text = threeOf(galileo('E01', 258), galileo('E01', 517), galileo('E02', 258));
    const found = parseNavigation(text, NAME).records as KeplerRecord[];
    expect(found.map(({ id, dataSource }) => [id, dataSource])).toEqual([
      ['E01', 517],
      ['E02', 258],
    ]);
  });

  it.each([
    ['G02', 63, 0, false],
    ['E01', 0b111000, 513, true],
    ['E01', 0b000010, 513, false],
    ['E01', 0b111000, 258, false],
    ['C11', 1, 0, false],
    ['I02', 1, 0, true],
    ['I02', 2, 0, false],
    ['J01', 0, 0, true],
  ])('health of %s: %i with data source %i means %s', (id, bits, source, isHealthy) => {
    const values = replaced(G02_VALUES, { 10: 5440.6, 20: source, 24: bits, 26: 0 });
    expect(keplerOf(threeOf(recordText(epoch3(id), 4, values))).isHealthy).toBe(isHealthy);
  });

  it('GLONASS: m, GPS time of a UTC epoch, frequency number, in version 2 (by the day) and 3 (by the week)', () => {
    const toe = gpsFromUtc(parseUtc('2020-06-24T23:15:00Z'));
    const frame = (valueS: number) => replaced(R01_VALUES, { 2: valueS });
    const two = header('2.11', 'G') + recordText(' 1 20  6 24 23 15  0.0', 3, frame(82_800));
    const three = threeOf(recordText('R01 2020 06 24 23 15 00', 4, frame(342_000)));
    for (const text of [two, three]) {
      const record = parseNavigation(text, NAME).records[0] as StateRecord;
      expect(record).toMatchObject({ id: 'R01', kind: 'state', system: 'glonass', toe, frequencyNumber: 1 });
      expect(record.positionM[0]).toBe(10_908_942.38281);
      expect(record.velocityMps).toEqual([1407.806396484, 2795.855522156, -316.9984817505]);
      expect(record.clockBiasS).toBe(6.355904042721e-5);
      // Half an hour before, of the day as of the week.
      expect(secondsBetween(record.sentAt, toe)).toBe(-900);
      expect(record.isHealthy).toBe(true);
    }
  });

  it('SBAS: GPS time, ranging switched off is unhealthy', () => {
    const values = (health: number) => [0, 0, 345_600, 35_944.6, 0, 0, health, 22_044.14, 0, 0, 2, 0, 0, 0, 92];
    const text = threeOf(recordText(epoch3('S23'), 4, values(0)), recordText(epoch3('S36'), 4, values(63)));
    const found = parseNavigation(text, NAME).records as StateRecord[];
    expect(found.map(({ isHealthy }) => isHealthy)).toEqual([true, false]);
    expect(found[0]).toMatchObject({ id: 'S23', toe: { week: 1590, towS: 345_600 }, accuracyM: 2, age: 92 });
  });

  it('blank fields are 0, and a record without an orbit is left out', () => {
    const blank = (index: number) =>
      recordText(
        epoch3('G03'),
        4,
        G02_VALUES.map((v, i) => (i === index ? null : v)),
      );
    expect(keplerOf(threeOf(blank(28))).fitHours).toBe(0);
    // A record that does not say when it was sent.
    expect(secondsBetween(keplerOf(threeOf(blank(27))).sentAt, keplerOf(threeOf(blank(27))).toe)).toBe(-7200);
    const { records, skipped } = parseNavigation(threeOf(blank(10), blank(11), G02_3), NAME);
    expect([records.map(({ id }) => id), skipped]).toEqual([['G02'], 2]);
  });

  it('a last line may lack its blanks', () => {
    expect(parseNavigation(GPS_2.trimEnd(), NAME).records).toHaveLength(1);
  });

  it('resolves the week by the clock’s time: at its beginning a reference time may be in the next one', () => {
    const values = replaced(G02_VALUES, { 11: 0, 27: 604_000 });
    const { toe, toc, sentAt } = keplerOf(threeOf(recordText('G02 2010 07 03 23 59 44', 4, values)));
    expect(toc).toEqual({ week: 1590, towS: 604_784 });
    expect(toe).toEqual({ week: 1591, towS: 0 });
    expect(sentAt).toEqual({ week: 1590, towS: 604_000 });
  });
});

describe('a file that is no good', () => {
  const observation = header('3.04', 'OBSERVATION DATA    M (MIXED)');
  const cut = (lines: number) => threeOf(G02_3, G02_3).split('\n').slice(0, lines).join('\n');

  it.each([
    ['an empty file', '', 'navigation.empty', /an empty one/],
    ['a header alone', header('3.04', 'N'), 'navigation.empty', /none/],
    ['an observation file', observation, 'navigation.format', /an observation file/],
    ['another file', '<?xml version="1.0"?>\n', 'navigation.format', /line 1/],
    ['version 5', header('5.00', 'N') + G02_3, 'navigation.version', /2, 3 or 4, got "5.00"/],
    ['a header without an end', GPS_2.slice(0, 120), 'navigation.truncated', /END OF HEADER/],
    [
      'a record of version 2 in 3',
      threeOf(G02_3, recordText(G02_BEGIN, 3, G02_VALUES)),
      'navigation.version',
      /line 11/,
    ],
    ['a record of version 3 in 2', GPS_2 + G02_3, 'navigation.version', /record of version 3/],
    ['a record of version 3 in 4', header('4.00', 'N') + G02_3, 'navigation.version', /record of version 3/],
    ['a record of version 4 in 3', threeOf(G02_3, `> EPH G02 LNAV\n${G02_3}`), 'navigation.version', /version 4/],
    ['two files joined', threeOf(G02_3) + threeOf(G02_3), 'navigation.version', /second header.*joined/],
    ['a last record cut between lines', cut(15), 'navigation.truncated', /8 lines of satellite G02/],
    ['a last record cut in a number', threeOf(G02_3).trimEnd().slice(0, -5), 'navigation.truncated', /cut off/],
    [
      'a record that lacks a line',
      threeOf(G02_3.split('\n').slice(0, 7).join('\n'), '\n', G02_3),
      'navigation.line',
      /line 3/,
    ],
    ['letters in a number', threeOf(G02_3.replace('4.143', '4.1x3')), 'navigation.line', /brdc\.rnx, line 4.*4\.1x3/],
    ['a thirteenth month', threeOf(G02_3.replace('2010 07', '2010 13')), 'navigation.line', /line 3.*a time/],
    ['a line of something else', threeOf(G02_3, 'Hello\n'), 'navigation.line', /line 11/],
  ])('%s', (_, text, code, says) => {
    const error = failure(text);
    expect(error.code).toBe(code);
    expect(error.message).toMatch(says);
    expect(error.message).toContain(NAME);
  });

  it('cut anywhere or damaged anywhere: one clear error, or records whose orbits are numbers', () => {
    const glonass = recordText('R01 2010 07 01 00 15 00', 4, R01_VALUES);
    const geo = recordText(epoch3('C05'), 4, replaced(G02_VALUES, { 10: 6493.4, 26: 0 }));
    const whole = threeOf(G02_3, glonass, geo);
    const damage = fc.tuple(fc.nat(whole.length - 1), fc.constantFrom(...'0123456789-+.DE \nGR>x'));
    fc.assert(
      fc.property(fc.nat(whole.length), fc.array(damage, { maxLength: 5 }), (end, damages) => {
        let text = whole;
        for (const [at, by] of damages) text = text.slice(0, at) + by + text.slice(at + 1);
        expectNumbersOrError(text.slice(0, damages.length === 0 ? end : whole.length));
      }),
      { numRuns: 400 },
    );
  });
});

/** Reads a text, and asks every satellite in it for its place within the day. */
function expectNumbersOrError(text: string): void {
  const start = { week: 1590, towS: 345_600 };
  try {
    const parsed = parseNavigation(text, NAME);
    const run = { start, durationS: 600, shift: false, name: NAME, systems: SYSTEM_NAMES };
    const state = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
    for (const { orbit, statusAt } of navigationSatellites(parsed, run)) {
      if (statusAt(0) === 'absent') continue;
      orbit.stateAt(0, state);
      for (const value of Object.values(state)) expect(value).toSatisfy(Number.isFinite);
    }
  } catch (error) {
    if (!(error instanceof LodestubError)) throw error;
    expect(error.code).toMatch(/^navigation\./);
  }
}
