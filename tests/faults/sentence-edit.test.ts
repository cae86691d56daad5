import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { SENTENCE_NAMES } from '../../src/emit/sentences/style.js';
import type { SentenceEffect } from '../../src/faults/fault.js';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { joinSentence, placesOf, splitSentence, withTellTale } from '../../src/faults/sentence-edit.js';
import { sumOf } from './sentence-helper.js';

const whole = (body: string, end = '\r\n') => `$${body}*${sumOf(body)}${end}`;
const RMC = 'GPRMC,120000.00,A,4707.0000,N,00812.0000,E,0.0,,010326,,,A';
const FIELD = fc.stringMatching(/^[0-9A-Za-z. ]{0,8}$/);
const BODY = fc.array(FIELD, { minLength: 1, maxLength: 20 }).map((fields) => ['GPGGA', ...fields].join());

describe('sentences taken apart and put together', () => {
  it('are what they were', () => {
    fc.assert(
      fc.property(BODY, fc.constantFrom('\r\n', '\n', '', '\r\n\r\n', '\n\r'), fc.boolean(), (body, end, isLower) => {
        const sum = isLower ? sumOf(body).toLowerCase() : sumOf(body);
        const sent = `$${body}*${sum}${end}`;
        const parts = splitSentence(sent);
        expect(parts?.fields).toEqual(body.split(','));
        expect(parts === null ? null : joinSentence(parts)).toBe(sent);
      }),
    );
  });

  it.each([
    ['nothing', ''],
    ['without a checksum', `$${RMC}\r\n`],
    ['with half a checksum', `${whole(RMC).slice(0, -3)}\r\n`],
    ['with a wrong checksum', `$${RMC}*00\r\n`],
    ['cut off', '$GPRMC,1200'],
    ['a bare $', '$'],
    ['joined with another', `${whole(RMC, '')}${whole(RMC)}`],
    ['with text before the $', `xx${whole(RMC)}`],
  ])('are not taken apart: %s', (_what, sent) => {
    expect(splitSentence(sent)).toBeNull();
    expect(withTellTale(sent, () => expect.unreachable('a tell-tale is drawn for nothing'))).toBe(sent);
  });

  it('have each field where the standard has it (NMEA 0183 field order, second hand)', () => {
    const rmc = RMC.split(',');
    const at = (what: Parameters<typeof placesOf>[1]) => placesOf(rmc, what).map((place) => rmc[place]);
    expect([at('time'), at('status'), at('latitude'), at('longitude')]).toEqual([
      ['120000.00'],
      ['A'],
      ['4707.0000'],
      ['00812.0000'],
    ]);
    expect([at('speed'), at('course'), at('date'), at('variation'), at('mode')]).toEqual([
      ['0.0'],
      [''],
      ['010326'],
      ['', ''],
      ['A'],
    ]);
    // Before 2.3 there is no mode.
    expect(placesOf(rmc.slice(0, -1), 'mode')).toEqual([]);
  });
});

describe('a tell-tale in a sentence', () => {
  const place = { latitudeDeg: -12.5, longitudeDeg: -0.5 };

  it.each([
    [RMC, 'GPRMC,120000.00,A,1230.0000,S,00030.0000,W,0.0,,010326,,,A'],
    ['GPGLL,4707.00,N,00812.00,E,120000,A,A', 'GPGLL,1230.00,S,00030.00,W,120000,A,A'],
    ['GPGGA,,4707,N,00812,E,1,05,1.0,1,M,2,M,,', 'GPGGA,,1230,S,00030,W,1,05,1.0,1,M,2,M,,'],
    ['GNGNS,,4707.0,N,00812.0,E,AN,05,1.0,1,2,,,V', 'GNGNS,,1230.0,S,00030.0,W,AN,05,1.0,1,2,,,V'],
  ])('%s: with as many decimals, and a checksum that matches', (own, told) => {
    expect(withTellTale(whole(own), () => place)).toBe(whole(told));
  });

  it.each(['GPVTG,,T,,M,0.0,N,0.0,K,A', 'GPRMC,,V,,,,,,,,,,N', 'GPZDA,,,,,,', 'GPTXT,01,01,02,x'])(
    '%s has none',
    (body) => {
      expect(withTellTale(whole(body), () => expect.unreachable('drawn for nothing'))).toBe(whole(body));
    },
  );
});

describe('every sentence fault', () => {
  const kinds = FAULT_KINDS.filter(({ stage }) => stage === 'sentence');
  const damaged = ['', '$', '$GP', `$${RMC}`, `$${RMC}*`, `$${RMC}*4`, whole(RMC, ''), `$${RMC}*00\r\n`, '\r\n', 'x'];

  it.each(kinds.map((kind) => [kind.name, kind] as const))('%s copes with what another has damaged', (_name, kind) => {
    const struckAlways = { uniform: () => 0, normal: () => 0 };
    const effect = kind.create(kind.settings.parse({}), struckAlways) as SentenceEffect;
    const tellTale = () => ({ latitudeDeg: 1, longitudeDeg: 2 });
    for (const [epoch, sent] of damaged.entries()) {
      for (const name of [...SENTENCE_NAMES, 'TXT', '']) {
        expect(effect.order?.([name])).toEqual(effect.order === undefined ? undefined : [0]);
        const text = effect.sentence?.(sent, { name, epoch, report: null, tellTale }) ?? '';
        // A byte each, and none made up of nothing.
        for (const character of text) expect(character.charCodeAt(0)).toBeLessThan(256);
        if (sent === '' && kind.name !== 'repeated-epoch') expect(text).toBe('');
      }
    }
  });
});
