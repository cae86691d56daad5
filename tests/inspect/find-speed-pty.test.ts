import { mkdtempSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openModule } from '../../src/index.js';
import { findSpeed } from '../../src/inspect/find-speed.js';
import { openSource, speedLine } from '../../src/inspect/port-source.js';

/** For a machine that is busy with other things; alone, a case takes some seconds. */
const TIMEOUT = { timeout: 60_000 };

describe.skipIf(process.platform !== 'linux')('a module on a pty, which reads a wrong speed as a UART does', () => {
  it.concurrent.each([
    [38_400, [9600, 115_200, 4800, 38_400]],
    [4800, [9600, 115_200, 4800]],
  ])('at %i baud is found, and heard on without a break', TIMEOUT, async (baud, tried) => {
    const module = await openModule({ port: 'pty', clock: 'real', baud, scenario: 'bench' });
    try {
      const source = await openSource(module.port, 9600);
      const found = await findSpeed(speedLine(source, new Promise(() => {})));
      expect(found.baud).toBe(baud);
      expect(found.heard.map((each) => each.baud)).toEqual(tried);
      // At each wrong speed something came, and no sentence.
      for (const each of found.heard.slice(0, -1)) expect(each).toMatchObject({ sentences: 0 });
      expect(found.heard.slice(0, -1).reduce((sum, { bytes }) => sum + bytes, 0)).toBeGreaterThan(0);
      const why = new Promise<string>((resolve) => source.hear({ onBytes: () => {}, onGone: resolve }));
      await module.close();
      expect(await why).toMatch(/^(the device has gone|reading it failed)/);
      await source.close();
    } finally {
      await module.close();
    }
  });

  it('is told to have gone where its name goes, though nothing is heard of it', TIMEOUT, async () => {
    const module = await openModule({ port: 'pty', clock: 'real' });
    const folder = mkdtempSync(join(tmpdir(), 'lodestub-gone-'));
    const link = join(folder, 'module');
    symlinkSync(module.port, link);
    const source = await openSource(link, 9600);
    try {
      const why = new Promise<string>((resolve) => source.hear({ onBytes: () => {}, onGone: resolve }));
      rmSync(folder, { recursive: true });
      expect(await why).toBe('the device has gone');
    } finally {
      await source.close();
      await module.close();
    }
  });

  it('that is open elsewhere is busy', TIMEOUT, async () => {
    const module = await openModule({ port: 'pty', clock: 'real' });
    const source = await openSource(module.port, 9600);
    try {
      await expect(openSource(module.port, 9600)).rejects.toMatchObject({ code: 'inspect.port-busy' });
    } finally {
      await source.close();
      await module.close();
    }
  });
});
