import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { writeSentences } from '../../../src/emit/sentences/registry.js';
import {
  SENTENCE_NAMES,
  SENTENCE_VERSIONS,
  type SentenceName,
  type SentenceVersion,
  sentencesOf,
  styleConflict,
} from '../../../src/emit/sentences/style.js';
import type { Report } from '../../../src/sim/epoch.js';
import { ALL, FIX, NOTHING, style, TIME_ONLY } from './helper.js';

/**
 * Fields of each sentence, the name not counted, in the order of the NMEA 0183 field lists (second hand); those that a
 * version added are in brackets there: mode (2.3), navigational status, system and signal id (4.1). GSV is apart.
 */
const FIELDS: Readonly<Record<Exclude<SentenceName, 'GSV'>, string>> = {
  GGA: 'time lat N/S lon E/W quality used HDOP altitude M separation M age station',
  RMC: 'time status lat N/S lon E/W knots course ddmmyy variation E/W mode@2.3 navStatus@4.10',
  GSA: 'op fix 1 2 3 4 5 6 7 8 9 10 11 12 PDOP HDOP VDOP system@4.10',
  GNS: 'time lat N/S lon E/W modes used HDOP altitude separation age station navStatus@4.10',
  GLL: 'lat N/S lon E/W time status mode@2.3',
  VTG: 'course T course M knots N km/h K mode@2.3',
  GST: 'time rms major minor orientation lat lon alt',
  GBS: 'time lat lon alt id probability bias sd system@4.10 signal@4.10',
  GRS: 'time mode 1 2 3 4 5 6 7 8 9 10 11 12 system@4.10 signal@4.10',
  ZDA: 'time dd mm yyyy hours minutes',
  DTM: 'datum sub dlat N/S dlon E/W dalt reference',
  HDT: 'heading T',
  THS: 'heading mode',
  ROT: 'rate status',
  // The stern's four are from memory.
  VBW: 'water water status ground ground status stern@3.01 status@3.01 stern@3.01 status@3.01',
};

/** Number of fields that a version has. */
function fieldsOf(name: Exclude<SentenceName, 'GSV'>, version: SentenceVersion): number {
  const place = SENTENCE_VERSIONS.indexOf(version);
  return FIELDS[name].split(' ').filter((field) => {
    const since = field.split('@')[1] as SentenceVersion | undefined;
    return since === undefined || SENTENCE_VERSIONS.indexOf(since) <= place;
  }).length;
}

const EVERY = SENTENCE_VERSIONS.flatMap((version) => sentencesOf(version).map((name) => [name, version] as const));
const REPORTS: ReadonlyArray<readonly [string, Report]> = [
  ['nothing known', NOTHING],
  ['the time alone', TIME_ONLY],
  ['a fix', FIX],
  ['all there is', ALL],
];

describe('every sentence in every version', () => {
  it.each(EVERY)(
    '%s of version %s has its fields, blank or not (NMEA 0183 field lists, second hand)',
    (name, version) => {
      for (const [what, report] of REPORTS) {
        const sent = writeSentences(report, style({ version, talker: 'auto' }), [name]);
        expect(sent.length, what).toBeGreaterThan(0);
        for (const sentence of sent) {
          expect(sentence, what).toMatch(/^\$[A-Z]{5}(,[\x20-\x23\x25-\x29\x2b\x2d-\x7d]*)+\*[0-9A-F]{2}$/);
          expect(sentence.length + 2, sentence).toBeLessThanOrEqual(82);
          expect(sentence).not.toMatch(/NaN|undefined|null|Infinity/);
          const fields = sentence.slice(7, -3).split(',').length;
          if (name !== 'GSV') expect(fields, sentence).toBe(fieldsOf(name, version));
        }
      }
    },
  );

  it.each(EVERY.filter(([name]) => name === 'GSV'))(
    '%s of version %s ends with a signal id from 4.10 on',
    (_, version) => {
      const isFrom410 = version === '4.10' || version === '4.11';
      for (const [what, report] of REPORTS) {
        for (const sentence of writeSentences(report, style({ version, talker: 'auto' }), ['GSV'])) {
          const fields = sentence.slice(7, -3).split(',').length - 3;
          expect(fields % 4, `${what}: ${sentence}`).toBe(isFrom410 ? 1 : 0);
        }
      }
    },
  );

  it('is one of the sixteen: GNS, GST, GBS, GRS came with 2.3, THS with 3.01 (from memory)', () => {
    expect(SENTENCE_NAMES).toHaveLength(16);
    expect(sentencesOf('2.1')).toEqual(SENTENCE_NAMES.filter((name) => !/^(GNS|GST|GBS|GRS|THS)$/.test(name)));
    expect(sentencesOf('2.3')).toEqual(SENTENCE_NAMES.filter((name) => name !== 'THS'));
    for (const version of ['3.01', '4.00', '4.10', '4.11'] as const) {
      expect(sentencesOf(version)).toEqual(SENTENCE_NAMES);
    }
  });

  it('does not know local numbers of QZSS among those of GPS', () => {
    expect(styleConflict(style({ qzssTalker: 'GP', qzssIds: 'local' }))?.setting).toBe('qzssIds');
    expect(styleConflict(style({ qzssTalker: 'GP', qzssIds: '193+' }))).toBeNull();
    expect(styleConflict(style())).toBeNull();
  });
});

const ANGLE = fc.double({ min: 0, max: 360, maxExcluded: true, noNaN: true });
const SIZE = fc.double({ min: 0, max: 5000, noNaN: true });

/** A receiver's report with any values in it. */
const REPORT: fc.Arbitrary<Report> = fc
  .record({
    altitudeMslM: fc.double({ min: -1000, max: 50_000, noNaN: true }),
    geoidSeparationM: fc.double({ min: -107, max: 86, noNaN: true }),
    latitudeDeg: fc.double({ min: -90, max: 90, noNaN: true }),
    longitudeDeg: fc.double({ min: -180, max: 180, noNaN: true }),
    speedMps: fc.double({ min: 0, max: 1000, noNaN: true }),
    courseDeg: fc.option(ANGLE),
    variationDeg: fc.option(fc.double({ min: -180, max: 180, noNaN: true })),
    headingDeg: fc.option(ANGLE),
    size: SIZE,
    used: fc.integer({ min: 0, max: 40 }),
    system: fc.constantFrom('G', 'R', 'E', 'C'),
    corrected: fc.boolean(),
  })
  .map(({ headingDeg, size, used, system, corrected, ...rest }) => {
    const ids = Array.from({ length: used }, (_, i) => `${system}${String((i % 63) + 1).padStart(2, '0')}`);
    return {
      ...ALL,
      ...rest,
      heading: headingDeg === null ? null : { headingDeg, rateDegPerMin: size - 2500 },
      deviation: { ...(ALL.deviation as NonNullable<Report['deviation']>), majorM: size, latitudeM: size / 3 },
      suspect: { id: 'C46', missedProbability: 0.5, biasM: -size, deviationM: size },
      hdop: size,
      used: ids,
      residualsM: ids.map((_, i) => (i % 2 === 0 ? size : -size) / 30),
      differential: corrected ? { ageS: size / 100, station: 120 } : null,
    };
  });

describe('the length', () => {
  it('is at most 82 characters where no longer lines are allowed, whatever is reported (limit from memory)', () => {
    const how = fc.record({
      version: fc.constantFrom(...SENTENCE_VERSIONS),
      talker: fc.constantFrom('auto', 'used', 'GN'),
      gsa: fc.constantFrom('per-system' as const, 'combined' as const),
      beidouIds: fc.constantFrom('local' as const, '201+' as const),
      galileoIds: fc.constantFrom('local' as const, '301+' as const),
      cn0Decimals: fc.constantFrom(0, 1),
      dopDecimals: fc.constantFrom(1, 2),
      secondDecimals: fc.integer({ min: 0, max: 2 }),
      minuteDecimals: fc.integer({ min: 2, max: 4 }),
      altitudeDecimals: fc.constantFrom(0, 1),
    });
    fc.assert(
      fc.property(REPORT, how, (report, settings) => {
        for (const sentence of writeSentences(report, style(settings), sentencesOf(settings.version))) {
          expect(sentence.length + 2, sentence).toBeLessThanOrEqual(82);
        }
      }),
      { numRuns: 300 },
    );
  });
});
