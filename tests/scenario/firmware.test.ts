import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import { writeSentences } from '../../src/emit/sentences/registry.js';
import { DEFAULT_STYLE, SENTENCE_NAMES } from '../../src/emit/sentences/style.js';
import { readModule } from '../../src/scenario/module.js';
import { PLAIN_RECEIVER } from '../../src/scenario/receiver-schema.js';
import type { Report } from '../../src/sim/epoch.js';
import { FIX } from '../emit/sentences/helper.js';
import { LEAST, read as readScenario } from './helper.js';

const read = (text: string) => readModule(`lodestub-module: 1\n${text}\n`, 'mine.yaml', 'mine');

function messageOf(text: string): string {
  try {
    read(text);
  } catch (error) {
    if (error instanceof LodestubError) return `${error.code} ${error.path} ${error.message}`;
    throw error;
  }
  throw new Error('the profile was read without an error');
}

describe('how a module writes', () => {
  it.each([
    ['decimals: { minutes: 0 }', { minuteDecimals: 0 }],
    ['leading-zeros: false', { leadingZeros: false }],
    ['carry: false', { carry: false }],
    ["zda-zone: '00'", { zdaZone: '00,00' }],
    ['zda-zone: 00', { zdaZone: '00,00' }],
    ["zda-zone: ''", { zdaZone: ',' }],
    ['zda-zone: -5', { zdaZone: '-05,00' }],
    ['zda-zone: 13', { zdaZone: '13,00' }],
    ['vtg-at-rest: blank', { vtgAtRest: 'blank' }],
    ['gsv-when-none: nothing', { gsvWhenNone: 'nothing' }],
    ['beidou-l2: B2I', { beidouL2: 'B2I' }],
  ])('%s', (text, expected) => {
    expect(read(text).style).toEqual({ ...DEFAULT_STYLE, ...expected });
  });

  it.each([
    ['decimals: { minutes: 9 }', /decimals\.minutes.*0 to 8/s],
    ['zda-zone: 14', /module\.range .*zda-zone.*-13 to 13/s],
    ['zda-zone: -5.5', /zda-zone.*-13 to 13/s],
    ["zda-zone: 'EST'", /zda-zone.*-13 to 13/s],
    ['gsv-when-none: blank', /gsv-when-none.*count-00.*nothing/s],
  ])('%s is refused', (text, message) => {
    expect(messageOf(text)).toMatch(message);
  });
});

describe('what a module tells', () => {
  it.each([
    ['geoid-separation: zero', { geoidSeparation: 'zero' }],
    ['geoid-separation: blank', { geoidSeparation: 'blank' }],
    ['altitude: blank', { tellsAltitude: false }],
    ['altitude: msl', {}],
    ['position-when-lost: last', { positionWhenLost: 'last' }],
    ['estimated-status: V', { estimatedStatus: 'V' }],
  ])('%s, in a profile and in a scenario', async (text, expected) => {
    expect(read(`receiver: { ${text} }`).receiver).toEqual({ ...PLAIN_RECEIVER, ...expected });
    const { module } = await readScenario(`${LEAST}receiver: { ${text} }\n`);
    expect(module.receiver).toMatchObject(expected);
  });

  it('a scenario can take back what the profile has', async () => {
    const module = 'module: { receiver: { altitude: blank, position-when-lost: last } }\n';
    const { module: profile } = await readScenario(`${LEAST}${module}receiver: { altitude: msl }\n`);
    expect(profile.receiver).toMatchObject({ tellsAltitude: true, positionWhenLost: 'last' });
  });
});

describe('of an accepted profile', () => {
  /** With $ and CR LF (limit from memory). */
  const SENTENCE_MAX = 82;
  const usual: Report = { ...FIX, utc: { year: 2026, month: 12, day: 31, hour: 23, minute: 58, second: 59.9999 } };

  it('no sentence exceeds 82 characters, whatever the settings here, from 0 to 8 decimals of minutes', () => {
    const settings = fc.record({
      'leading-zeros': fc.boolean(),
      carry: fc.boolean(),
      'zda-zone': fc.constantFrom('', '00', -13, 13),
      decimals: fc.record({
        minutes: fc.integer({ min: 0, max: 8 }),
        seconds: fc.integer({ min: 0, max: 3 }),
        altitude: fc.integer({ min: 0, max: 3 }),
      }),
      receiver: fc.record({
        'geoid-separation': fc.constantFrom('model', 'zero', 'blank'),
        altitude: fc.constantFrom('msl', 'blank'),
      }),
    });
    const report = fc.record({
      latitudeDeg: fc.double({ min: -90, max: 90, noNaN: true }),
      longitudeDeg: fc.double({ min: -180, max: 180, noNaN: true }),
      altitudeMslM: fc.constantFrom(null, -1000, 0, 50_085),
      geoidSeparationM: fc.constantFrom(null, -107, 0, 85),
      hdop: fc.constantFrom(1, 99.99),
    });
    const accepted = new Set<number>();
    fc.assert(
      fc.property(settings, report, (chosen, numbers) => {
        let profile: ReturnType<typeof read>;
        try {
          profile = read(
            Object.entries(chosen)
              .map(([key, value]) => `${key}: ${JSON.stringify(value)}`)
              .join('\n'),
          );
        } catch (error) {
          expect(error).toMatchObject({ code: 'module.range' });
          return;
        }
        accepted.add(chosen.decimals.minutes);
        for (const sentence of writeSentences({ ...usual, ...numbers }, profile.style, SENTENCE_NAMES)) {
          expect(sentence.length + 2, sentence).toBeLessThanOrEqual(SENTENCE_MAX);
        }
      }),
      { numRuns: 1000 },
    );
    expect([...accepted].sort()).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
  });
});
