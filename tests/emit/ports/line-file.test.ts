import { execFileSync, spawn, spawnSync } from 'node:child_process';
import {
  closeSync,
  constants,
  mkdirSync,
  mkdtempSync,
  openSync,
  readFileSync,
  readSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { LodestubError } from '../../../src/base/error.js';
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

  it.skipIf(process.platform === 'win32')('a file that another run writes stays as it is, under any name', () => {
    const file = LineFile.open(at('live'), { isOwn });
    file.append('line\n');
    file.flush();
    symlinkSync(at('live'), at('live-too'));
    for (const name of ['live', 'live-too']) {
      expect(() => LineFile.check(at(name), { isOwn })).toThrow(/^out\.busy: /);
      expect(() => LineFile.open(at(name), { isOwn, force: true })).toThrow(/^out\.busy: /);
    }
    file.append('more\n');
    file.close();
    expect(readFileSync(at('live'), 'utf8')).toBe('line\nmore\n');
    LineFile.open(at('live'), { isOwn }).close();
    expect(readFileSync(at('live'), 'utf8')).toBe('');
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
    compileInto(folder, ['base/error', 'emit/ports/file-lock', 'emit/ports/line-file']);
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

describe.skipIf(process.platform !== 'linux')('a FIFO', () => {
  /** What a pipe of Linux holds, bytes (pipe(7), man-pages 6: "Pipe capacity"). */
  const CAPACITY_BYTES = 65_536;
  /** More than the 5 s that a reader may take nothing, with a loaded machine's delay; far below for ever. */
  const GIVES_UP_WITHIN_MS = 8000;
  const line = (index: number) => `${String(index).padStart(18, '0')}\r\n`;

  it('whose reader has stopped is given up after 5 s, with all that it can hold in it', () => {
    execFileSync('mkfifo', [at('stalled')]);
    const reader = openSync(at('stalled'), constants.O_RDONLY | constants.O_NONBLOCK);
    const file = LineFile.open(at('stalled'), { isOwn });
    const startMs = performance.now();
    expect(() => {
      for (let index = 0; index < 10_000; index++) file.append(line(index));
    }).toThrow(/^out\.stalled: .*stalled: the reader has stopped reading/);
    expect(performance.now() - startMs).toBeLessThan(GIVES_UP_WITHIN_MS);
    expect(() => file.append('more')).toThrow(/^out\.stalled: /);
    file.close();
    const held = Buffer.alloc(2 * CAPACITY_BYTES);
    expect(readSync(reader, held)).toBe(CAPACITY_BYTES);
    expect(held.toString('latin1', 0, 40)).toBe(line(0) + line(1));
    closeSync(reader);
  });

  it('whose reader is slow gets everything', async () => {
    execFileSync('mkfifo', [at('slow')]);
    // Long breaks, and small portions of the pipe: 40 of 8000 bytes.
    const script = `
      const { openSync, readSync, writeSync } = require('node:fs');
      const fd = openSync(process.argv[1], 'r');
      const out = openSync(process.argv[2], 'w');
      const part = Buffer.alloc(8000);
      const sleeper = new Int32Array(new SharedArrayBuffer(4));
      for (let count; (count = readSync(fd, part)) > 0; Atomics.wait(sleeper, 0, 0, 40)) {
        for (let done = 0; done < count; ) done += writeSync(out, part, done, count - done);
      }`;
    const reader = spawn(process.execPath, ['-e', script, at('slow'), at('got')], { stdio: 'inherit' });
    const ended = new Promise((resolve) => reader.on('close', resolve));
    const file = await openOnceRead(at('slow'));
    let sent = '';
    for (let index = 0; index < 16_000; index++) {
      sent += line(index);
      if (index % 2 === 0) file.append(line(index));
      else file.appendLatin1(line(index));
    }
    file.close();
    expect(await ended).toBe(0);
    const got = readFileSync(at('got'), 'latin1');
    expect(got === sent, `${got.length} of ${sent.length} bytes`).toBe(true);
  });

  /** Opens a FIFO as soon as its reader is there. */
  async function openOnceRead(path: string): Promise<LineFile> {
    for (;;) {
      try {
        return LineFile.open(path, { isOwn });
      } catch (error) {
        if (!(error instanceof LodestubError) || error.code !== 'out.no-reader') throw error;
        await new Promise((resolve) => setTimeout(resolve, 10));
      }
    }
  }
});
