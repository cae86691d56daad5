import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { compileInto } from './compiled.js';

const folder = mkdtempSync(join(tmpdir(), 'stdout-'));
afterAll(() => rmSync(folder, { recursive: true }));
compileInto(folder, ['base/error', 'emit/ports/stdout-port', 'emit/ports/wait-until-sent']);
const program = join(folder, 'program.js');
writeFileSync(
  program,
  `import { openStdoutPort } from './emit/ports/stdout-port.js';
   const port = await openStdoutPort({ failed: (error) => console.error(error.message) });
   const line = Buffer.from('A'.repeat(98) + '\\r\\n');
   let lost = 0, slowestMs = 0;
   for (let i = 0; i < 300; i++) {
     for (let j = 0; j < 100; j++) {
       const start = performance.now();
       lost += port.write(line);
       slowestMs = Math.max(slowestMs, performance.now() - start);
     }
     await new Promise((resolve) => setTimeout(resolve, 1));
   }
   await port.close();
   console.error('lost ' + lost + ' slowest ' + Math.round(slowestMs) + ' waiting ' + process.stdout.writableLength);
   process.exit(0);`,
);

/** Runs the program, which writes 3 MB. */
async function run(react: (stdout: NodeJS.ReadableStream & { destroy(): void }) => void) {
  const child = spawn(process.execPath, [program], { stdio: ['ignore', 'pipe', 'pipe'] });
  let told = '';
  child.stderr.on('data', (text) => {
    told += text;
  });
  react(child.stdout);
  const code = await new Promise((resolve) => child.on('exit', resolve));
  return { code, told };
}

it('a reader gets every byte', async () => {
  let count = 0;
  const { code, told } = await run((stdout) => {
    stdout.on('data', (bytes) => {
      count += bytes.length;
    });
  });
  expect({ code, count }).toEqual({ code: 0, count: 3_000_000 });
  expect(told).toMatch(/^lost 0 /);
});

it('a reader that has gone is told once, without an exception', async () => {
  const { code, told } = await run((stdout) => stdout.destroy());
  expect(code).toBe(0);
  expect(told).toMatch(/^stdout\.closed: stdout: the reader .*\nlost \d{4,} /);
  expect(told.match(/stdout\.closed/g)).toHaveLength(1);
});

it('a reader that takes nothing makes bytes lost, not memory grow or writes wait', async () => {
  const { code, told } = await run(() => {});
  expect(code).toBe(0);
  const [, lost, slowestMs] = /lost (\d+) slowest (\d+)/.exec(told) ?? [];
  // 1 MB may wait here, and some in the pipe and the reader's own stream.
  expect(Number(lost)).toBeGreaterThan(1_500_000);
  expect(Number(slowestMs)).toBeLessThan(200);
});
