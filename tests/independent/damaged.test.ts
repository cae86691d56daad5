import { describe, expect, it } from 'vitest';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { expectShare } from '../faults/helper.js';
import { placeIn, sentFields, sentText, strike, sumOf } from '../faults/sentence-helper.js';
import { linesOf, playRun, roof } from '../run/helper.js';
import { COLUMNS, DEVIATIONS, FLAWED, LUCKY, type Part, type Row, UNSEEN, WHOLE } from './damaged-cases.js';
import { flawsOf, JUDGES, type Judge, mustRefuse, type Verdict } from './judges.js';
import { EXCEPTIONS, ODDITIES } from './legal-oddities.js';
import { MORE_READERS } from './more-readers.js';
import { readers } from './readers.js';

/** In force from here on: the banner, a TXT that some parsers do not know, is over. */
const AT = '2 s';
/** A vehicle, so that speed and course are there to be blanked; every sentence is one that all parsers support. */
const ROUTE = [
  { hold: '5 s', at: [47.1, 8.2, '430 m'] },
  { go: [[47.2, 8.3]], speed: '30 km/h' },
];
/** Lines of a row, at least: one each epoch in force, a few apart. */
const FEW = 15;
const SENTENCES = { GGA: 1, GLL: 1, GSV: 1, RMC: 1, VTG: 1 };

/** The lines that a host reads, ended by LF, and those of them that the module meant. */
interface Lines {
  readonly lines: readonly string[];
  readonly meant: ReadonlySet<string>;
}

const played = new Map<string, Promise<Lines>>();

async function play({ fault, with: settings, version = '4.10', durationS = 20 }: Omit<Row, 'refused'>): Promise<Lines> {
  const timeline = [{ at: AT, fault, with: settings }];
  const module = { baud: 38_400, version, sentences: SENTENCES };
  const scenario = roof({ route: ROUTE, duration: `${durationS} s`, module, timeline });
  const { bytes, journal } = await playRun({ scenario });
  const meant = new Set(linesOf(journal, 'sentence').map(({ text }) => `${text}\r\n`));
  const lines = bytes.toString('latin1').split(/(?<=\n)/);
  // What the end of the run has cut off is no line yet.
  return { lines: lines.filter((line) => line.endsWith('\n')), meant };
}

/** Plays a row once for all parsers. */
function linesOfRow(row: Omit<Row, 'refused'>): Promise<Lines> {
  const key = JSON.stringify([row.fault, row.with, row.version]);
  let run = played.get(key);
  if (run === undefined) {
    run = play(row);
    played.set(key, run);
  }
  return run;
}

/** RMC at rest without variation, with *00. */
async function zeroChecksums(): Promise<readonly string[]> {
  const module = { 'magnetic-variation': false, version: '4.10', sentences: { RMC: 1 } };
  const { journal } = await playRun({ scenario: roof({ duration: '300 s', module }) });
  const lines = linesOf(journal, 'sentence').map(sentText);
  const zero = lines.filter((line) => line.endsWith('*00\r\n'));
  // Such a sentence has an even number of letters and of digits, which makes the upper digit 0; the lower is any of 16.
  expectShare(zero.length, lines.length, 1 / 16);
  expect(zero.length).toBeGreaterThan(5);
  for (const line of zero) expect(sumOf(line.slice(1, -5))).toBe('00');
  return zero;
}

/** What a parser refuses, in the words of a table's cell. */
function partOf(verdicts: readonly Verdict[], cell: Part): Part {
  const refused = verdicts.filter((verdict) => verdict === 'refuses').length;
  if (cell === 'most') return refused >= (1 - LUCKY) * verdicts.length ? 'most' : 'some';
  return refused === 0 ? 'none' : refused === verdicts.length ? 'all' : 'some';
}

/** Lines that a parser takes although it claims to refuse them, its known deviations apart. */
function broken(judge: Judge, lines: readonly string[], verdicts: readonly Verdict[]): string[] {
  const isKnown = (line: string) => DEVIATIONS.some(({ parser, isIt }) => parser === judge.name && isIt(line));
  return lines.filter((line, i) => verdicts[i] !== 'refuses' && mustRefuse(judge, line) && !isKnown(line));
}

const titleOf = ({ fault, with: settings, version }: Row) =>
  `${fault} ${JSON.stringify(settings)} ${version ?? ''}`.trim();
/** A line is damaged beyond what `joined` says: two sentences may have a matching checksum by chance, 1 in 256. */
const isFlawed = (line: string) => flawsOf(line).some((flaw) => flaw !== 'joined');

it('the tables have a column for each parser', () => {
  expect(JUDGES.map(({ name }) => name)).toEqual([...COLUMNS]);
});

describe.each(JUDGES.map((judge, column) => [judge.name, judge, column] as const))('%s', (name, judge, column) => {
  const here = it.skipIf(!judge.isThere);

  here.each(FLAWED.map((row) => [titleOf(row), row] as const))(
    'refuses damaged lines as it claims: %s',
    async (_title, row) => {
      const { lines, meant } = await linesOfRow(row);
      const verdicts = judge.judge(lines);
      expect(broken(judge, lines, verdicts)).toEqual([]);
      const cell = row.refused[column] as Part;
      const flawed = verdicts.filter((_, i) => !meant.has(lines[i] as string) && isFlawed(lines[i] as string));
      expect(flawed.length).toBeGreaterThan(FEW);
      expect(partOf(flawed, cell)).toBe(cell);
    },
  );

  here.each(WHOLE.map((row) => [titleOf(row), row] as const))(
    'of altered sentences whose checksum matches: %s',
    async (_title, row) => {
      const { lines, meant } = await linesOfRow(row);
      const altered = lines.filter((line) => !meant.has(line));
      expect(altered.length).toBeGreaterThan(FEW);
      for (const line of altered) expect(flawsOf(line)).toEqual([]);
      const verdicts = judge.judge(altered);
      expect(broken(judge, altered, verdicts)).toEqual([]);
      const cell = row.refused[column] as Part;
      expect(partOf(verdicts, cell)).toBe(cell);
    },
  );

  here('takes a checksum of 00 that is right, to which a module comes by itself', async () => {
    const lines = await zeroChecksums();
    expect(judge.judge(lines)).toEqual(lines.map(() => 'takes'));
  });

  here.each(UNSEEN)('takes every line of %s', async (fault, settings) => {
    const { lines } = await linesOfRow({ fault, with: settings });
    const own = lines.filter((line) => line.slice(3, 6) !== 'TXT');
    expect(own.length).toBeGreaterThan(80);
    expect(judge.judge(own)).not.toContain('refuses');
  });

  const inTables = new Set([...FLAWED, ...WHOLE].map(({ fault }) => fault).concat(UNSEEN.map(([fault]) => fault)));
  const others = FAULT_KINDS.filter(({ stage, name: kind }) => /sentence|byte/.test(stage) && !inTables.has(kind));
  here.each(others.map((kind) => [kind.name]))(
    'by its claims alone, of %s, which the tables do not have',
    async (fault) => {
      const { lines } = await linesOfRow({ fault, with: {} });
      expect(broken(judge, lines, judge.judge(lines))).toEqual([]);
    },
  );

  here.each(DEVIATIONS.filter(({ parser }) => parser === name).map((each) => [each.why, each] as const))(
    'against its claim: %s',
    (_why, { example, isIt }) => {
      expect(mustRefuse(judge, example)).toBe(true);
      expect(isIt(example)).toBe(true);
      expect(judge.judge([example])).not.toContain('refuses');
    },
  );

  const legal = ODDITIES.flatMap(({ what, lines }) => lines.map((line) => ({ what, line })));
  const own = legal.filter(({ line }) => supports(name, line.slice(3, 6)));
  let said: readonly Verdict[] | null = null;
  here.each(ODDITIES.map((oddity) => [oddity.what]))('takes what is legal: %s', (what) => {
    const verdicts = said ?? judge.judge(own.map(({ line }) => line));
    said = verdicts;
    const exceptions = EXCEPTIONS.filter((each) => each.what === what && each.parser === name);
    const [found, expected]: [string[], string[]] = [[], []];
    for (const [i, { what: other, line }] of own.entries()) {
      if (other !== what) continue;
      const not = exceptions.find(({ names }) => names.some((each) => line.slice(1, 6).endsWith(each)));
      found.push(`${verdicts[i]} ${line.slice(3, 6)}`);
      expected.push(`${not?.does ?? (isTold(judge, line) ? 'takes' : 'silent')} ${line.slice(3, 6)}`);
    }
    expect(found).toEqual(expected);
  });
});

/** One parser tells of a list with its last part only. */
function isTold({ name }: Judge, line: string): boolean {
  const [kind, total, number] = line.split(',');
  return name !== '@signalk/nmea0183-signalk' || !kind?.endsWith('GSV') || total === number;
}

/** Whether a parser claims to support a sentence. */
function supports(name: string, sentence: string): boolean {
  if (name.startsWith('python3-nmea2')) return !['THS', 'GRS'].includes(sentence);
  return [...readers(), ...MORE_READERS].some((reader) => reader.name === name && reader.claims.includes(sentence));
}

describe('a tell-tale', () => {
  it('comes out of the parser that takes a sentence without a checksum, and out of no other', async () => {
    const settings = { form: 'missing', 'tell-tale': true };
    const { lines } = await strike('checksum-form', settings, { module: { baud: 38_400, sentences: SENTENCES } });
    const told = lines.filter(({ tellTale }) => tellTale !== undefined);
    expect(told.length).toBeGreaterThan(100);
    for (const judge of JUDGES.filter(({ isThere }) => isThere)) {
      const takes = judge.name === 'extended-nmea' || judge.name === 'python3-nmea2 (default)';
      expect(new Set(judge.judge(told.map(sentText)))).toEqual(new Set([takes ? 'takes' : 'refuses']));
    }
    const extended = readers().find(({ name }) => name === 'extended-nmea');
    for (const line of told) {
      const report = { fix: '3d', timeKnown: true, dateKnown: true } as Parameters<
        NonNullable<typeof extended>['read']
      >[1];
      const said = extended?.read(sentText(line).trimEnd(), report);
      expect(said).toMatchObject({ latitudeDeg: expect.closeTo(line.tellTale?.latitudeDeg ?? 0, 9) });
      expect(said).toMatchObject({ longitudeDeg: expect.closeTo(line.tellTale?.longitudeDeg ?? 0, 9) });
      expect(placeIn(sentFields(line))).not.toBeNull();
    }
  });
});
