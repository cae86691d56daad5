import { describe, expect, it } from 'vitest';
import { CAUTION } from '../../src/cli/caution.js';
import { inspectPage } from '../../src/inspect/inspect-page.js';
import type { InspectReport } from '../../src/inspect/inspect-report.js';
import {
  elements,
  HOSTILE,
  noise,
  outsideReferences,
  parsePage,
  withNumber,
  withText,
  wordsOf,
} from '../report/document.js';
import { exampleInspection } from '../report/example-inspection.js';

/** Fields whose words are chosen from a list. */
const KEPT = ['verdict', 'severity', 'weight', 'kind', 'about', 'zero', 'source'];

const report = exampleInspection();
const html = inspectPage(report, CAUTION);
const words = wordsOf(html);

/** The same report of a stream that had nothing in it. */
const EMPTY: InspectReport = {
  ...report,
  stream: {
    ...report.stream,
    baud: null,
    durationS: null,
    firstUtc: null,
    lastUtc: null,
    lines: 0,
    epochs: 0,
    bytes: 0,
  },
  items: [],
  sentences: {
    ...report.sentences,
    counts: [],
    talkers: [],
    version: null,
    versionEvidence: [],
    violations: [],
    checksums: { good: 0, bad: 0, absent: 0, malformed: 0, examples: [] },
  },
  timing: { ...report.timing, intervalS: null, source: null, jitterMs: null, histogram: [], gaps: [], load: null },
  fix: { ...report.fix, epochs: 0, validEpochs: 0, validShare: null, firstFixS: null, firstFixAt: null },
  satellites: { used: null, inView: null, hdop: null, systems: [], lastSky: null },
  antenna: { ...report.antenna, signals: [], overTime: [], blankShare: null },
  position: {
    ...report.position,
    about: 'none',
    reference: null,
    count: 0,
    offset: null,
    scatter: null,
    error: null,
    drift: null,
    points: [],
    geoidDeviationM: null,
  },
  motion: { slow: null, moving: null, ratio: null, courseOffDeg: null, unit: null, examples: [] },
  agreement: { places: [] },
  oddities: [],
};

describe('the page of an inspection', () => {
  it('is a whole document with caution, verdict and what was read, and fetches nothing', () => {
    expect(html).toContain('<title>bad: field/bench-2026-03-01.nmea</title>');
    expect(html).toContain(CAUTION);
    expect(words).toContain('3 good, 1 with a remark, 1 bad, 1 untested.');
    expect(words).toContain('9600 baud, found');
    expect(words).toContain('The stream ends in the middle of a sentence.');
    expect(outsideReferences(html)).toEqual([]);
    expect(parsePage(html).problems).toEqual([]);
    expect(noise(html)).toEqual([]);
  });

  it('gives each verdict with its reason, the bad ones first', () => {
    for (const { title, reason } of report.items) expect(words).toContain(`${title} ${reason}`);
    expect(words.indexOf('Checksums 3 of')).toBeLessThan(words.indexOf('Antenna, GLONASS 5.2'));
    expect(words.indexOf('Antenna, GLONASS 5.2')).toBeLessThan(words.indexOf('Version NMEA'));
  });

  it('tells violations, checksums and odd things with the numbers of their lines', () => {
    expect(words).toContain('Longer than 82 characters against the standard 41×, GNGSA');
    expect(words).toContain('86 characters, 2026-03-01T12:15:02Z');
    expect(words).toContain('gn-talker 3600×');
    expect(words).toContain('What it has done: Parsers that look for $GPRMC have shown no position at all.');
    expect(words.split('line 1204').length - 1).toBeGreaterThanOrEqual(3);
  });

  it('tells what is told in two ways, with figures and lines', () => {
    expect(words).toContain('from 2 m/s on 80 12.50 m/s 6.40 m/s 6.10 m/s');
    expect(words).toContain('way gone by way told 0.514');
    expect(words).toContain('RMC, GGA 1661 1660 5.02 m');
    expect(wordsOf(inspectPage(EMPTY, CAUTION))).not.toContain('Told in two ways');
  });

  it('draws scatter, position and height in time, C/N0 by elevation and in time, the sky and the intervals', () => {
    expect(elements(parsePage(html).document, 'figcaption').map((element) => element.textContent)).toEqual([
      'Scatter about the reference',
      'Position over time, the reference being zero',
      'Height over time, the reference being zero',
      'C/N0 over elevation',
      'The last sky, 2026-03-01T12:29:59Z',
      'C/N0 over time, all above 10°',
      'Time from epoch to epoch, by their time stamps',
    ]);
  });

  it('has circles of the errors about a reference, and of CEP and 95 % about the mean without one', () => {
    const about = (part: Partial<InspectReport['position']>) =>
      wordsOf(inspectPage({ ...report, position: { ...report.position, ...part } }, CAUTION));
    expect(about({})).toMatch(/ 50 %: \d\.\d\d m 95 %: \d\.\d\d m/);
    const mean = about({ about: 'mean', zero: 'mean', error: null, offset: null });
    expect(mean).toMatch(/ CEP: \d\.\d\d m 95 %: \d\.\d\d m/);
    expect(mean).toContain('Scatter about the mean');
    const moved = { about: 'none', isMoving: true, distanceM: 5200, offset: null, error: null, scatter: null } as const;
    expect(about({ ...moved, zero: 'reference' })).toContain('The way it went');
  });

  it('says what the positions of an antenna that moved are counted from: no mean', () => {
    const moved = { about: 'none', isMoving: true, distanceM: 5200, offset: null, error: null, scatter: null } as const;
    for (const [zero, name] of [
      ['first', 'first position'],
      ['reference', 'reference'],
    ] as const) {
      const position = { ...report.position, ...moved, zero };
      const shown = wordsOf(inspectPage({ ...report, position }, CAUTION));
      expect(shown).toContain(`${name} 47.1000000, 8.2000000`);
      expect(shown).toContain(`Position over time, the ${name} being zero`);
      expect(shown).not.toMatch(/\bmean (47|being zero)/);
    }
  });

  it('of an empty stream is a page too, with dashes for what is not known', () => {
    const empty = inspectPage(EMPTY, CAUTION);
    expect(parsePage(empty).problems).toEqual([]);
    expect(noise(empty)).toEqual([]);
    expect(wordsOf(empty)).toContain('Position The stream tells none.');
    expect(empty).not.toContain('<figure');
  });

  it.each(HOSTILE)('takes what stands in a stream for text: %#', (text) => {
    const hostile = inspectPage(withText(report, text, KEPT), text);
    const { document, problems } = parsePage(hostile);
    expect(problems).toEqual([]);
    expect(elements(document, 'script').length + elements(document, 'img').length).toBe(0);
  });

  it.each([0, -1, 1e9, Number.NaN, Number.POSITIVE_INFINITY])('prints no noise where every number is %d', (number) => {
    expect(noise(inspectPage(withNumber(report, number), CAUTION))).toEqual([]);
  });
});
