import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseSentence } from '../../src/grammar/sentence.js';
import { dateFrom, degreesFrom, numberFrom, timeFrom, wholeFrom } from '../../src/grammar/values.js';

describe('a sentence taken apart', () => {
  it.each([
    ['$GNRMC,1', 'standard', 'GN', 'RMC'],
    ['$U5HDT,1', 'standard', 'U5', 'HDT'],
    ['$PQGSV,1,1,00', 'standard', 'PQ', 'GSV'],
    ['$PQGSA,A,1', 'standard', 'PQ', 'GSA'],
    ['$PQGSX,A', 'proprietary', 'P', 'QGSX'],
    ['$PABC,1', 'proprietary', 'P', 'ABC'],
    ['$CCGPQ,GGA', 'query', 'CC', 'GPQ'],
    ['$gprmc,1', 'unknown', '', ''],
    ['$GPRM,1', 'unknown', '', ''],
  ])('%s is %s', (text, kind, talker, formatter) => {
    expect(parseSentence(text)).toMatchObject({ kind, talker, formatter });
  });

  it.each([
    ['$GPGLL,4916.45,N,12311.12,W,225444,A*31', 'good', '31'],
    ['$GPGLL,4916.45,N,12311.12,W,225444,A*32', 'bad', '32'],
    ['$GPGLL,4916.45,N,12311.12,W,225444,A', 'absent', null],
    ['$GPGLL,4916.45,N,12311.12,W,225444,A*3', 'malformed', '3'],
    ['$GPGLL,4916.45,N,12311.12,W,225444,A*', 'malformed', ''],
    ['$GPGLL,4916.45,N,12311.12,W,225444,A*031', 'malformed', '031'],
    ['$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6a', 'good', '6a'],
  ])('%s has a checksum that is %s', (text, checksum, given) => {
    expect(parseSentence(text)).toMatchObject({ checksum, given });
  });

  it('has its fields as they stand, those after a star in the text too', () => {
    expect(parseSentence('$GPTXT,01,01,02,a*b,*00').fields).toEqual(['01', '01', '02', 'a*b', '']);
    expect(parseSentence('$GPGLL').fields).toEqual([]);
    expect(parseSentence('$GPGLL*5').address).toBe('GPGLL');
  });

  it('is plain where every character is text and none is reserved', () => {
    expect(parseSentence('$GPTXT,01,01,02,ANT OK*2C').isPlain).toBe(true);
    for (const character of '!$*\\^~\x7f\x80\0') {
      expect(parseSentence(`$GPTXT,01,01,02,A${character}*2C`).isPlain, character).toBe(false);
    }
  });
});

describe('values', () => {
  it('that are numbers are the nearest ones, as JavaScript reads them', () => {
    const texts = fc.stringMatching(/^[+-]?\d{0,20}\.?\d{0,20}$/);
    fc.assert(
      fc.property(texts, (text) => {
        expect(numberFrom(text)).toBe(/\d/.test(text) ? Number(text) : null);
      }),
      { numRuns: 1000 },
    );
    for (const text of ['', '-', '.', '1.2.3', '1e5', ' 1', '0x10', '1,2', 'Infinity'])
      expect(numberFrom(text)).toBe(null);
  });

  it.each([
    ['4807.038', 48 + 7.038 / 60],
    ['01131.000', 11 + 31 / 60],
    ['1131.00', 11 + 31 / 60],
    ['60.00', 1],
    ['5.5', null],
    ['4861.0', null],
    ['-4807.038', null],
    ['48o7.038', null],
    ['480700.038', null],
    ['', null],
  ])('an angle %s', (text, angleDeg) => {
    expect(degreesFrom(text)).toBe(angleDeg);
  });

  it.each([
    ['000000', 0],
    ['235959.999', 86_399_999],
    ['235960.5', 86_400_500],
    ['123519.', 45_319_000],
    ['240000', null],
    ['126000', null],
    ['123561', null],
    ['12351', null],
    ['1235191', null],
    ['12:35:19', null],
  ])('a time %s', (text, timeMs) => {
    expect(timeFrom(text)).toBe(timeMs);
  });

  it.each([
    ['230394', { year: 1994, month: 3, day: 23 }],
    ['290224', { year: 2024, month: 2, day: 29 }],
    ['060180', { year: 1980, month: 1, day: 6 }],
    ['311279', { year: 2079, month: 12, day: 31 }],
    ['290223', null],
    ['310426', null],
    ['000126', null],
    ['010026', null],
    ['1126', null],
  ])('a date %s', (text, date) => {
    expect(dateFrom(text)).toEqual(date);
  });

  it('that are whole have no sign', () => {
    expect([wholeFrom('07'), wholeFrom('-1'), wholeFrom('1.0'), wholeFrom('')]).toEqual([7, null, null, null]);
  });
});
