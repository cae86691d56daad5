import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { openFilePort } from '../../../src/emit/ports/file-port.js';
import { LineFile } from '../../../src/emit/ports/line-file.js';
import { compileInto } from './compiled.js';

const folder = mkdtempSync(join(tmpdir(), 'file-'));
afterAll(() => rmSync(folder, { recursive: true }));
const at = (name: string) => join(folder, name);
const isOwn = () => true;

describe('what is there already', () => {
  it('an earlier output is replaced, also by a shorter one', async () => {
    writeFileSync(at('own'), `$GPTXT,01,01,02,SIMULATED*00\r\n${'x'.repeat(9000)}`);
    const port = await openFilePort(at('own'), {});
    port.write(Buffer.from('new\r\n'));
    await port.close();
    expect(readFileSync(at('own'), 'utf8')).toBe('new\r\n');
  });

  it("a stranger's file stays as it is unless forced", async () => {
    writeFileSync(at('other'), `${'x'.repeat(4096)}SIMULATED`);
    await expect(openFilePort(at('other'), {})).rejects.toThrow(/^out\.exists: /);
    expect(readFileSync(at('other')).length).toBe(4105);
    await (await openFilePort(at('other'), {}, { force: true })).close();
    expect(readFileSync(at('other')).length).toBe(0);
  });

  it('folders, and places without a folder or with a file for one, are refused', async () => {
    mkdirSync(at('folder'));
    await expect(openFilePort(at('folder'), {})).rejects.toThrow(/^out\.directory: /);
    await expect(openFilePort(at('no/file'), {})).rejects.toThrow(/^out\.missing-folder: /);
    await expect(openFilePort(at('own/file'), {})).rejects.toThrow(/^out\.missing-folder: /);
  });

  it('a FIFO without a reader is refused instead of waited for', async () => {
    execFileSync('mkfifo', [at('fifo')]);
    await expect(openFilePort(at('fifo'), {})).rejects.toThrow(/^out\.no-reader: /);
  });

  it('a device is written without a question', async () => {
    const port = await openFilePort('/dev/null', {});
    expect(port.write(Buffer.alloc(200_000))).toBe(0);
    await port.close();
  });
});

describe('a full disk', () => {
  it('/dev/full: the error comes from flush, again from write, and close is quiet after it', () => {
    const file = LineFile.open('/dev/full', { isOwn });
    file.append('line\n');
    expect(() => file.flush()).toThrow(/^out\.full: \/dev\/full: .*ENOSPC/);
    expect(() => file.append('more\n')).toThrow(/^out\.full: /);
    file.close();
    file.close();
  });

  it('/dev/full: the error comes from close where nothing was flushed before', () => {
    const file = LineFile.open('/dev/full', { isOwn });
    file.append('line\n');
    expect(() => file.close()).toThrow(/^out\.full: /);
    file.close();
  });

  it('a file that the system lets grow to 8 KB only is cut back to whole lines', () => {
    compileInto(folder, ['base/error', 'emit/ports/line-file']);
    const program = join(folder, 'program.js');
    writeFileSync(
      program,
      `import { LineFile } from './emit/ports/line-file.js';
       const file = LineFile.open(process.argv[2], { isOwn: () => true });
       try {
         for (let i = 0; i < 1000; i++) file.append('0123456789abcdefgh\\r\\n');
         file.close();
       } catch (error) {
         console.log(error.message);
       }`,
    );
    const child = spawnSync('bash', ['-c', 'ulimit -f 8; exec "$0" "$@"', process.execPath, program, at('limited')], {
      encoding: 'utf8',
    });
    expect(child.stdout).toMatch(/^out\.full: .*EFBIG.* whole lines/);
    const text = readFileSync(at('limited'), 'utf8');
    // 8 KB hold 409 lines of 20 characters, and a part of another.
    expect(text).toBe('0123456789abcdefgh\r\n'.repeat(409));
  });
});
