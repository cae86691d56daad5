import { describe, expect, it } from 'vitest';
import { CAUTION } from '../../src/cli/caution.js';
import { FIELD_FAILURES, scenarioOfFailure } from '../../src/faults/catalogue.js';
import type { FieldFailure } from '../../src/faults/failures/failure.js';
import { inspectText as textOfReport } from '../../src/inspect/inspect-text.js';
import { wrapped } from '../../src/inspect/text-lines.js';
import { playSeen } from '../faults/shown/seen.js';
import { line } from '../grammar/helper.js';
import { inspectText } from './helper.js';

const failure = (id: string) => FIELD_FAILURES.find((each) => each.id === id) as FieldFailure;

describe('the report as text', () => {
  it.each([80, 100])('fits into %i columns, verdicts first, each with its reason', async (columns) => {
    const { text } = await playSeen(scenarioOfFailure(failure('bad-checksum')));
    const report = inspectText(text, { name: 'a/long/path/to/some/recorded.nmea' });
    const lines = textOfReport(report, { columns }).split('\n');
    expect(lines.filter((line) => line.length > columns)).toEqual([]);
    expect(lines[1]).toMatch(/^verdict: bad \(\d+ bad, /);
    const verdicts = lines.filter((line) => /^(bad|remark|good|untested) /.test(line));
    expect(verdicts).toHaveLength(report.items.length);
    for (const line of verdicts) expect(line).toMatch(/^\w+ +[A-Z].* {2,}\S/);
    const [first] = report.sentences.checksums.examples;
    expect(lines.join('\n')).toContain(`line ${first?.line}`);
  });

  it('carries the caution', () => {
    const report = { ...inspectText('$GPGGA,,,,,,0,,,,,,,,*66\r\n'), caution: CAUTION };
    expect(textOfReport(report, { columns: 100 }).replaceAll('\n', ' ')).toContain(CAUTION.replaceAll('\n', ' '));
  });

  it('shows what controls a terminal as it is written out, wherever in a sentence it stands', () => {
    const body = (text: string) => `${text.slice(0, -1)}\x1b[31m\x1b]0;title\x07${text.slice(-1)}`;
    const sentences = ['GPRMC', 'GPRMC,120000,A', 'GPXYZ,1', 'P', 'GPGSV,1,1,01,1'].map((text) => line(body(text)));
    const text = textOfReport(inspectText(sentences.join('').repeat(3)), { columns: 100 });
    expect(text).toContain('\\x1b');
    expect(text).not.toMatch(/[^\n\x20-\x7e\u00a0-\uffff]/);
  });

  it('has colours where they are asked for, and keeps its columns', async () => {
    const report = inspectText((await playSeen(scenarioOfFailure(null))).text);
    const plain = textOfReport(report, { columns: 90 });
    const painted = textOfReport(report, { columns: 90, paint: (_verdict, word) => `<${word}>` });
    expect(painted).not.toBe(plain);
    expect(painted.replace(/<(\w+)>/g, '$1')).toBe(plain);
  });
});

describe('wrapped text', () => {
  it('breaks at spaces, hangs, and cuts what is too long', () => {
    expect(wrapped('one two three', 7)).toEqual(['one two', 'three']);
    expect(wrapped('one two three', 9, '- ', '  ')).toEqual(['- one two', '  three']);
    expect(wrapped('abcdefghij', 4)).toEqual(['abcd', 'efgh', 'ij']);
    expect(wrapped('', 4)).toEqual(['']);
  });
});
