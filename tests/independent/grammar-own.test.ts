import { describe, expect, it } from 'vitest';
import { writeBanner, writeSentences } from '../../src/emit/sentences/registry.js';
import {
  SENTENCE_NAMES,
  SENTENCE_VERSIONS,
  type SentenceStyle,
  type SentenceVersion,
  sentencesOf,
} from '../../src/emit/sentences/style.js';
import { versionsOf, violationsOf } from '../../src/grammar/check.js';
import { GroupCheck } from '../../src/grammar/group-check.js';
import type { ViolationCode } from '../../src/grammar/violation.js';
import { openModule } from '../../src/index.js';
import { listModules } from '../../src/scenario/shipped.js';
import type { Report } from '../../src/sim/epoch.js';
import { ALL, FIX, inView, NOTHING, style, TIME_AND_DATE, TIME_ONLY } from '../emit/sentences/helper.js';
import { heardIn } from '../grammar/helper.js';

/** Everything, with QZSS tracked, and degrees that round up to a whole one. */
const MORE: Report = {
  ...ALL,
  latitudeDeg: 7.999_999_99,
  longitudeDeg: 11.999_999_99,
  inView: [...ALL.inView, inView('J03', 180, 70.2, { L1: 41 })],
};
const REPORTS: readonly Report[] = [NOTHING, TIME_ONLY, TIME_AND_DATE, FIX, ALL, MORE];

/** What a style's sentences are found to have, those of all reports, single and in groups. */
function codesOf(how: SentenceStyle, reports: readonly Report[] = REPORTS): Set<ViolationCode> {
  const groups = new GroupCheck();
  const codes = new Set<ViolationCode>();
  for (const report of reports) {
    const text = writeSentences(report, how, sentencesOf(how.version));
    for (const heard of heardIn(text.map((each) => `${each}\r\n`).join(''))) {
      for (const { code } of violationsOf(heard, { version: how.version })) codes.add(code);
      for (const { code } of groups.put(heard)) codes.add(code);
    }
  }
  return codes;
}

/** Styles that the standard allows, or that none of these sentences shows. */
const ALLOWED: readonly Partial<SentenceStyle>[] = [
  {},
  ...['auto', 'used', 'GN', 'GL', 'II'].map((talker) => ({ talker })),
  { talker: 'auto', gsaTalker: 'system' },
  { gsa: 'combined', talker: 'GN' },
  { beidouTalker: 'BD' },
  { glonassIds: 'local' },
  { padGsv: true, longLines: true },
  { gsvWhenNone: 'nothing' },
  { beidouL2: 'B2I' },
  { untrackedCn0: '00' },
  { capUsed: true },
  { magneticVariation: false },
  { vtgAtRest: 'blank' },
  ...[',', '-05,00', '13,00'].map((zdaZone) => ({ zdaZone })),
  ...[0, 1, 2, 3, 5, 6].map((minuteDecimals) => ({ minuteDecimals })),
  ...[0, 1, 3].map((secondDecimals) => ({ secondDecimals })),
  ...[0, 2, 3].map((decimals) => ({ altitudeDecimals: decimals, speedDecimals: decimals, courseDecimals: decimals })),
  { dopDecimals: 1, unknownDop: '' },
];

const NEW: readonly SentenceVersion[] = ['4.10', '4.11'];

/** Styles that the standard does not have, in which versions they show, and what shows them. */
const VARIANTS: ReadonlyArray<readonly [Partial<SentenceStyle>, readonly SentenceVersion[], readonly ViolationCode[]]> =
  [
    [{ qzssTalker: 'PQ' }, SENTENCE_VERSIONS, ['variant-talker']],
    [{ qzssTalker: 'QZ' }, SENTENCE_VERSIONS, ['variant-talker']],
    // Numbers of two systems under a talker of one.
    [{ gsa: 'combined', talker: 'GP' }, SENTENCE_VERSIONS, ['satellite-twice']],
    [{ qzssTalker: 'GP', qzssIds: '193+' }, SENTENCE_VERSIONS, ['satellite-number']],
    [{ qzssIds: '193+' }, SENTENCE_VERSIONS, ['satellite-number']],
    [{ galileoIds: '301+' }, SENTENCE_VERSIONS, ['satellite-number']],
    [{ beidouIds: '201+' }, SENTENCE_VERSIONS, ['satellite-number']],
    [{ sbasIds: '120+' }, SENTENCE_VERSIONS, ['satellite-number']],
    [{ gsvSequence: 'running' }, NEW, ['gsv-more']],
    [{ signalIds: 'decimal', beidouL2: 'B2I' }, NEW, ['decimal-signal-id']],
    [{ cn0Decimals: 1, longLines: true }, SENTENCE_VERSIONS, ['decimal-cn0']],
    [{ minuteDecimals: 8, secondDecimals: 3, longLines: true }, SENTENCE_VERSIONS, ['too-long']],
    [{ leadingZeros: false }, SENTENCE_VERSIONS, ['leading-zeros']],
    [{ carry: false }, SENTENCE_VERSIONS, ['sixty-minutes']],
  ];

describe('the module’s own sentences', () => {
  it.each(SENTENCE_VERSIONS)('of version %s are right in every style that the standard allows', (version) => {
    for (const how of ALLOWED) {
      expect([...codesOf(style({ version, ...how }))], JSON.stringify(how)).toEqual([]);
    }
  });

  it.each(VARIANTS)('with %j show it in versions %j as %j', (how, versions, codes) => {
    for (const version of SENTENCE_VERSIONS) {
      const found = [...codesOf(style({ version, ...how }))].sort();
      expect(found, version).toEqual(versions.includes(version) ? [...codes].sort() : []);
    }
  });

  it('have the version’s number of fields', () => {
    for (const version of SENTENCE_VERSIONS) {
      for (const text of writeSentences(ALL, style({ version }), sentencesOf(version))) {
        const [heard] = heardIn(`${text}\r\n`);
        expect(heard && versionsOf(heard.sentence), text).toContain(version);
      }
    }
  });

  it('are all judged: a field more or fewer is found in every kind', () => {
    const texts = writeSentences(ALL, style(), SENTENCE_NAMES).concat(writeBanner(['ANT OK'], style()));
    const kinds = new Set(texts.map((text) => text.slice(3, 6)));
    expect(kinds.size).toBe(SENTENCE_NAMES.length + 1);
    for (const text of texts) {
      const [heard] = heardIn(`${text}\r\n`);
      if (heard === undefined) throw new Error(text);
      // TXT's text may have commas in some modules, none here.
      const fields = [...heard.sentence.fields, '', ''];
      const codes = violationsOf({ ...heard, sentence: { ...heard.sentence, fields } }).map(({ code }) => code);
      expect(codes, text).toContain('field-count');
    }
  });

  it('of every shipped module, from a cold start to a fix, have nothing wrong', async () => {
    for (const { name } of await listModules()) {
      const module = await openModule({ scenario: 'bench', module: name });
      let stream = '';
      for (let second = 0; second < 45; second++) {
        module.advance(1000);
        stream += module.read().toString('latin1');
      }
      await module.close();
      const groups = new GroupCheck();
      const heard = heardIn(stream.slice(0, stream.lastIndexOf('\n') + 1));
      expect(heard.length, name).toBeGreaterThan(100);
      const found = heard.flatMap((each) => [...violationsOf(each), ...groups.put(each)]);
      expect(found, name).toEqual([]);
    }
  });
});
