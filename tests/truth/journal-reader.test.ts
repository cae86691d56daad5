import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/index.js';
import { JOURNAL_ERROR_CODES, journalRecords } from '../../src/truth/journal-reader.js';
import { startMsOf } from '../../src/truth/journal-record.js';
import { playRun, roof } from '../run/helper.js';
import { fileOf, readFrom } from './proof-helper.js';

const RUN = JSON.stringify({
  type: 'run',
  format: 1,
  version: '1.0.0',
  title: 'a run',
  seed: 1,
  module: 'mine',
  startUtc: '2026-03-01T12:00:00.000Z',
  baud: 9600,
  epochMs: 1000,
  scenario: {},
});
const END = JSON.stringify({ type: 'end', epochs: 0, sentences: 0, bytes: 0, dropped: 0 });

const read = (file: Uint8Array, most?: number) => [...journalRecords(readFrom(file, most), 'run.jsonl')];

/** What is wrong with a file. */
function mistake(file: Uint8Array | string): string {
  try {
    read(typeof file === 'string' ? Buffer.from(file, 'utf8') : file);
  } catch (error) {
    expect(error).toBeInstanceOf(LodestubError);
    return (error as Error).message;
  }
  return 'none';
}

describe('the records of a journal', () => {
  it('are those that were written, in their order, however the file comes in pieces', async () => {
    const timeline = [
      { at: '2 s', for: '3 s', fault: 'garbage-bytes' },
      { at: '3 s', for: '3 s', fault: 'silence' },
      { at: '4 s', for: '3 s', surroundings: 'tunnel' },
      { at: '8 s', command: '$PLDB,BAUD,38400' },
    ];
    const { lines } = await playRun({ scenario: roof({ timeline, duration: '12 s' }) });
    const expected = lines.map((line) => JSON.parse(line) as unknown);
    for (const most of [1, 1000, 1 << 20]) expect(read(fileOf(lines), most)).toEqual(expected);
    const records = read(fileOf(lines));
    const types = 'run epoch sentence bytes dropped fault surroundings command line end'.split(' ');
    expect(new Set(records.map(({ type }) => type))).toEqual(new Set(types));
    expect([startMsOf(records[0] as never), startMsOf(records.at(-1) as never)]).toEqual([null, null]);
    const starts = records.slice(1, -1).map((record) => startMsOf(record) as number);
    expect(starts).toEqual([...starts].sort((a, b) => a - b));
  });

  it('have texts in UTF-8, and lines that are longer than what is read at a time', () => {
    const title = 'é…'.repeat(1_000_000);
    const run = JSON.stringify({ ...JSON.parse(RUN), title });
    expect(read(fileOf([run, END]), 3333)[0]).toMatchObject({ type: 'run', title });
  });
});

describe('what is no journal', () => {
  const record = (value: object) => `${RUN}\n${JSON.stringify(value)}\n`;
  const sentence = { type: 'sentence', epoch: 0, text: '$GPTXT*00', startMs: 1, endMs: 2, faults: [] };

  it.each([
    [
      'an empty file',
      '',
      'journal.format: run.jsonl, line 1: expected {"type":"run",… at its beginning, got an empty file',
    ],
    ['a stream', '$GPRMC,,V,,,,,,,,,,N,V*29\r\n', 'journal.format: run.jsonl, line 1: expected {"type":"run",…'],
    ['other JSON', '{"a":1}\n', 'journal.format: run.jsonl, line 1: expected {"type":"run",…'],
    [
      'another format',
      `${RUN.replace('"format":1', '"format":2')}\n`,
      'journal.version: run.jsonl, line 1: expected format 1, got 2',
    ],
    ['a line that breaks off', `${RUN}\n${END.slice(0, 20)}`, 'journal.truncated: run.jsonl, line 2: '],
    ['a whole last line without its line feed', `${RUN}\n${END}`, 'journal.truncated: run.jsonl, line 2: '],
    ['a first line without an end', RUN, 'journal.truncated: run.jsonl, line 1: '],
    ['no JSON', `${RUN}\n{"type":"epo\n`, 'journal.line: run.jsonl, line 2: not JSON '],
    ['an empty line', `${RUN}\n\n${END}\n`, 'journal.line: run.jsonl, line 2: not JSON '],
    ['a list', record([1]), 'journal.record: run.jsonl, line 2: expected a record with a type'],
    [
      'another type',
      record({ type: 'sentense' }),
      'journal.record: run.jsonl, line 2: the type "sentense" is none of a journal’s. Did you mean sentence?',
    ],
    ['no type', record({ atMs: 1 }), 'journal.record: run.jsonl, line 2: the type nothing is none'],
    [
      'a time that is text',
      record({ ...sentence, startMs: '1' }),
      'journal.record: run.jsonl, line 2: startMs of the record sentence: expected a number, got "1"',
    ],
    [
      'no text',
      record({ ...sentence, text: undefined }),
      'journal.record: run.jsonl, line 2: text of the record sentence: expected text, got nothing',
    ],
    [
      'a broken epoch number',
      record({ ...sentence, epoch: 0.5 }),
      'epoch of the record sentence: expected a whole number from 0 on',
    ],
    [
      'faults of another kind',
      record({ ...sentence, faults: [1] }),
      'faults of the record sentence: expected a list of texts, got [1]',
    ],
    [
      'bytes that are no base64',
      record({ ...sentence, sentBase64: 'a*b=' }),
      'sentBase64 of the record sentence: expected base64, got "a*b="',
    ],
    [
      'another phase',
      record({ type: 'fault', id: '1.1', kind: 'x', phase: 'middle', atMs: 1, with: {} }),
      'phase of the record fault: expected begin or end',
    ],
    [
      'a mapping that is a list',
      record({ type: 'fault', id: '1.1', kind: 'x', phase: 'end', atMs: 1, with: [] }),
      'with of the record fault: expected a mapping',
    ],
  ])('%s', (_name, file, expected) => {
    expect(mistake(file)).toContain(expected);
  });

  it('binary of any size is refused by its first bytes', () => {
    const binary = new Uint8Array(200_000).fill(0);
    let taken = 0;
    const reading = readFrom(binary, 1000);
    const counted = (into: Uint8Array) => {
      const count = reading(into);
      taken += count;
      return count;
    };
    expect(() => [...journalRecords(counted, 'x')]).toThrow(/^journal\.format: x, line 1: .*got "\\u0000/);
    expect(taken).toBe(1000);
  });

  it('binary in the middle is a line that is no record', () => {
    const file = Buffer.concat([Buffer.from(`${RUN}\n`), Buffer.from([0, 255, 128, 10])]);
    expect(mistake(file)).toMatch(/^journal\.line: run\.jsonl, line 2: not JSON /);
  });

  it('has a code of the reference each', () => {
    expect(Object.keys(JOURNAL_ERROR_CODES)).toHaveLength(6);
  });
});
