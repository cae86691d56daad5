import { mkdtempSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { fileNameOf, keepFiles } from '../../src/trial/case-files.js';

const folder = mkdtempSync(join(tmpdir(), 'lodestub-test-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const unwanted = (error: Error) => {
  throw error;
};

describe('a case’s id as the name of a file', () => {
  it('is one that can be read', () => {
    expect(fileNameOf('drive/single-band-9600/seed-1/none')).toBe('drive_single-band-9600_seed-1_none');
  });

  it('is another one for each id, and safe', () => {
    const part = fc.string({
      unit: fc.constantFrom('a', 'b', '_', '-', '.', ' ', 'é', '*'),
      minLength: 1,
      maxLength: 4,
    });
    const id = fc.tuple(part, part, fc.constantFrom('seed-1', 'seed-2')).map((parts) => parts.join('/'));
    fc.assert(
      fc.property(id, id, (one, other) => {
        expect(fileNameOf(one)).toMatch(/^[\w.-]+$/);
        expect(fileNameOf(one) === fileNameOf(other)).toBe(one === other);
      }),
      { numRuns: 2000 },
    );
  });
});

describe('what is kept of a case', () => {
  it('is a journal, a stream and what the host wrote', () => {
    const kept = keepFiles(folder, 'a/b', unwanted);
    kept.journal('{"type":"run"}');
    kept.stream('$GP\xff\r\n');
    kept.host('0.000 stdout: hello');
    kept.close();
    const read = (name: string) => readFileSync(join(folder, 'a_b', name), 'latin1');
    expect(read('journal.jsonl')).toBe('{"type":"run"}\n');
    expect(read('stream.nmea')).toBe('$GP\xff\r\n');
    expect(read('host.txt')).toBe('0.000 stdout: hello\n');
  });

  it('takes the place of an earlier trial’s, and of nothing else', () => {
    keepFiles(folder, 'a/b', unwanted).close();
    writeFileSync(join(folder, 'a_b', 'notes.txt'), 'mine');
    expect(() => keepFiles(folder, 'a/b', unwanted)).toThrow(/^trial\.keep: .*not an earlier trial’s/);
    expect(readFileSync(join(folder, 'a_b', 'notes.txt'), 'utf8')).toBe('mine');
  });

  it('takes the place of a journal of any length, of which it reads the beginning', () => {
    keepFiles(folder, 'long', unwanted).close();
    writeFileSync(join(folder, 'long', 'journal.jsonl'), '{"type":"run","format":1}\n');
    // Longer than a text can be, though it takes no room.
    truncateSync(join(folder, 'long', 'journal.jsonl'), 2 ** 30);
    keepFiles(folder, 'long', unwanted).close();
    expect(readFileSync(join(folder, 'long', 'journal.jsonl'), 'utf8')).toBe('');
  });

  it('cannot be kept where a file stands in the way', () => {
    writeFileSync(join(folder, 'taken'), '');
    expect(() => keepFiles(join(folder, 'taken'), 'a/b', unwanted)).toThrow(/^trial\.keep: --keep .*taken/);
  });
});
