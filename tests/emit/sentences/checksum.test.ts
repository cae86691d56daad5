import { existsSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checksum, frame } from '../../../src/emit/sentences/checksum.js';
import { writeSentences } from '../../../src/emit/sentences/registry.js';
import { SENTENCE_NAMES } from '../../../src/emit/sentences/style.js';
import { FIX, NOTHING, style } from './helper.js';

/** Source: tables/nmea-checksums.txt, well-known example sentences with computed checksums (published facts). */
const PUBLISHED = [
  '$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47',
  '$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A',
  '$GPRMC,081836,A,3751.65,S,14507.36,E,000.0,360.0,130998,011.3,E*62',
  '$GPRMC,225446,A,4916.45,N,12311.12,W,000.5,054.7,191194,020.3,E*68',
  '$GPGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.1*39',
  '$GPGSV,2,1,08,01,40,083,46,02,17,308,41,12,07,344,39,14,22,228,45*75',
  '$GPGLL,4916.45,N,12311.12,W,225444,A*31',
  '$GPGLL,4916.45,N,12311.12,W,225444,A,*1D',
  '$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48',
  '$GPZDA,201530.00,04,07,2002,00,00*60',
  '$GNGNS,014035.00,4332.69262,S,17235.48549,E,RR,13,0.9,25.63,11.24,,*70',
  '$GPGST,182141.000,15.5,15.3,7.2,21.8,0.9,0.5,0.8*54',
];

const TABLE = new URL('../../../../shared/data/tables/nmea-checksums.txt', import.meta.url);

describe('checksum', () => {
  it.each(PUBLISHED)(
    'is that of the well-known example %s (published facts, tables/nmea-checksums.txt)',
    (sentence) => {
      const body = sentence.slice(1, sentence.indexOf('*'));
      expect(checksum(body)).toBe(sentence.slice(-2));
      expect(frame(body)).toBe(sentence);
    },
  );

  it.skipIf(!existsSync(TABLE))('has all published examples quoted here (needs ../shared/data)', () => {
    expect(readFileSync(TABLE, 'utf8').trim().split('\n')).toEqual(PUBLISHED);
  });

  it('is two upper-case hexadecimal digits with a leading zero', () => {
    expect(checksum('A@')).toBe('01');
    expect(checksum('*')).toBe('2A');
    expect(checksum('')).toBe('00');
  });

  it('breaks with any change of one character, wherever it is', () => {
    const sentences = [FIX, NOTHING].flatMap((report) => writeSentences(report, style(), SENTENCE_NAMES));
    const property = fc.property(
      fc.constantFrom(...sentences),
      fc.nat(),
      fc.integer({ min: 1, max: 255 }),
      (text, at, add) => {
        // The $ at the start apart: without it there is no sentence to check.
        const place = 1 + (at % (text.length - 1));
        const other = String.fromCharCode((text.charCodeAt(place) + add) % 256);
        expect(isSound(text)).toBe(true);
        expect(isSound(text.slice(0, place) + other + text.slice(place + 1))).toBe(false);
      },
    );
    fc.assert(property, { numRuns: 2000 });
  });
});

/** What a careful host does: exactly one *, two upper-case digits after it, and the sum of what is before it. */
function isSound(sentence: string): boolean {
  const match = /^\$([^$*]*)\*([0-9A-F]{2})$/s.exec(sentence);
  if (match === null) return false;
  const sum = [...(match[1] as string)].reduce((value, character) => value ^ character.charCodeAt(0), 0);
  return sum === Number.parseInt(match[2] as string, 16);
}
