import { lstatSync, mkdtempSync, readlinkSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ReadlineParser, SerialPortMock } from 'serialport';
import { afterAll, describe, expect, it } from 'vitest';
import { LodestubError, openModule, type Step } from '../../src/index.js';
import { sentBytes } from '../cli/journal.js';

const folder = mkdtempSync(join(tmpdir(), 'lodestub-library-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** The boot time of the module in these tests, ms: beyond its latency, so that the first epoch is not spoken of. */
const BOOT_MS = 300;

/** A hot start at a fixed place and time: there is a fix within some seconds. */
const SCENARIO = {
  lodestub: 1,
  seed: 3,
  start: '2026-02-02T08:00:00Z',
  module: { boot: `${BOOT_MS} ms` },
  receiver: { start: 'hot' },
  route: [{ hold: '60 s', at: [52.375, 9.72, '84 m'] }],
};

/** Between machine time and the timers of a loaded machine, ms. */
const TIMER_MS = 1000;

async function codeOf(doing: () => unknown): Promise<string> {
  try {
    await doing();
  } catch (error) {
    if (error instanceof LodestubError) return error.code;
    throw error;
  }
  return 'none';
}

describe('openModule with the manual clock', () => {
  it('time stands until it is moved; each byte comes with its stop bit', async () => {
    const module = await openModule({ scenario: SCENARIO });
    expect(module).toMatchObject({ port: 'memory', epochMs: 1000, nowMs: 0, isOver: false });
    expect(module.startUtc).toMatchObject({ year: 2026, month: 2, day: 2, hour: 8, minute: 0, second: 0 });
    expect(module.read()).toHaveLength(0);
    module.advance(BOOT_MS);
    expect(module.read()).toHaveLength(0);
    // The banner starts with the boot time; ten bytes at 9600 baud take 10.4 ms.
    module.advance(10.5);
    expect(module.read().toString('latin1')).toBe('$GPTXT,01,');
    module.advance(0);
    expect(module.read()).toHaveLength(0);
    expect(module.nowMs).toBe(BOOT_MS + 10.5);
    await module.close();
  });

  it('bytes and journal do not depend on the steps in which time moves', async () => {
    const play = async (stepMs: number) => {
      const journal: string[] = [];
      const module = await openModule({ scenario: SCENARIO, onJournal: (line) => journal.push(line) });
      let bytes = '';
      while (!module.isOver) {
        module.advance(stepMs);
        bytes += module.read().toString('latin1');
      }
      await module.close();
      return { bytes, journal: journal.join('\n') };
    };
    const [fine, coarse, atOnce] = [await play(7), await play(2500), await play(1e9)];
    expect(fine.bytes.length).toBeGreaterThan(10_000);
    expect(coarse).toEqual(fine);
    expect(atOnce).toEqual(fine);
  });

  it('onEpoch sees report and truth, onJournal every line, and the journal accounts for the bytes', async () => {
    const steps: Step[] = [];
    const journal: string[] = [];
    const module = await openModule({
      scenario: { ...SCENARIO, errors: 'none' },
      onEpoch: (step) => steps.push(step),
      onJournal: (line) => journal.push(line),
    });
    module.advance(30_000);
    expect(steps.map(({ epoch }) => epoch.index)).toEqual(Array.from({ length: 31 }, (_, index) => index));
    const { report, truth } = (steps.at(-1) as Step).epoch;
    expect(truth).toMatchObject({ latitudeDeg: 52.375, longitudeDeg: 9.72, altitudeMslM: 84 });
    expect(report.fix).toBe('3d');
    /** Without errors the solution is exact: what is left is arithmetic, a tenth of a millimetre. */
    const EXACT_DEG = 1e-9;
    expect(Math.abs((report.latitudeDeg as number) - (truth?.latitudeDeg ?? Number.NaN))).toBeLessThan(EXACT_DEG);
    await module.close();
    const stream = module.read().toString('latin1');
    const records = journal.map((line) => JSON.parse(line));
    expect(records.map((record) => sentBytes(record) ?? '').join('')).toBe(stream);
    expect(stream.endsWith('\r\n')).toBe(true);
    expect(records.at(0)).toMatchObject({ type: 'run', seed: 3 });
    expect(records.at(-1)).toMatchObject({ type: 'end', bytes: stream.length });
  });

  it('seed, module, baud and now stand in for what the scenario says', async () => {
    const journal: string[] = [];
    const now = { year: 2026, month: 6, day: 1, hour: 12, minute: 0, second: 0 };
    const module = await openModule({
      scenario: { ...SCENARIO, start: 'now' },
      seed: 8,
      module: 'older-4800',
      baud: 19_200,
      now,
      onJournal: (line) => journal.push(line),
    });
    expect(module.startUtc).toEqual(now);
    expect(JSON.parse(journal[0] as string)).toMatchObject({ seed: 8, module: 'older-4800', baud: 19_200 });
    await module.close();
  });

  it('close ends the run once, with its last sentence whole; a second close does nothing', async () => {
    const journal: string[] = [];
    const module = await openModule({ scenario: SCENARIO, onJournal: (line) => journal.push(line) });
    module.advance(BOOT_MS + 10);
    await module.close();
    await module.close();
    expect(module.isOver).toBe(true);
    expect(module.read().toString('latin1')).toMatch(/^\$GPTXT.+\r\n$/);
    expect(journal.filter((line) => line.includes('"type":"end"'))).toHaveLength(1);
  });
});

describe('openModule with a host in the same process', () => {
  it('SerialPortMock reads the sentences, line by line, as a host would', async () => {
    const module = await openModule({ scenario: SCENARIO, port: 'mock:/dev/GNSS' });
    const host = new SerialPortMock({ path: '/dev/GNSS', baudRate: 9600, autoOpen: false });
    await new Promise<void>((resolve, reject) => host.open((error) => (error ? reject(error) : resolve())));
    const lines: string[] = [];
    host.pipe(new ReadlineParser({ delimiter: '\r\n' })).on('data', (line: string) => lines.push(line));
    // The mock hands over what it has at each turn of the event loop.
    for (let second = 0; second < 8; second++) {
      module.advance(1000);
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
    expect(lines[0]).toMatch(/^\$GPTXT,.+SIMULATED/);
    const fixes = lines.filter((line) => /^\$GPRMC,\d{6}\.\d\d,A,5222\.\d{4},N,00943\.\d{4},E,/.test(line));
    expect(fixes.length).toBeGreaterThan(3);
    await module.close();
    await new Promise((resolve) => host.close(resolve));
    // The name is free again.
    await (await openModule({ port: 'mock:/dev/GNSS' })).close();
  });
});

describe('openModule with a real clock', () => {
  it('plays by itself, as many times faster as asked, and finished tells the end', async () => {
    const startMs = performance.now();
    const module = await openModule({ scenario: { ...SCENARIO, duration: '10 s' }, clock: 20 });
    await module.finished;
    const tookMs = performance.now() - startMs;
    expect(tookMs).toBeGreaterThanOrEqual(500);
    expect(tookMs).toBeLessThan(500 + TIMER_MS);
    expect(module.isOver).toBe(true);
    expect(
      module
        .read()
        .toString('latin1')
        .match(/\$GPRMC/g),
    ).toHaveLength(9);
    await module.close();
  });

  it.skipIf(process.platform !== 'linux')('close ends it early, and removes the link to its pty', async () => {
    const link = join(folder, 'gnss');
    const module = await openModule({ scenario: SCENARIO, clock: 'real', port: 'pty', link });
    expect(readlinkSync(link)).toBe(module.port);
    await new Promise((resolve) => setTimeout(resolve, 100));
    await module.close();
    await module.finished;
    expect(lstatSync(link, { throwIfNoEntry: false })).toBeUndefined();
  });

  it('a port that fails rejects finished with its error', async () => {
    const full = { scenario: SCENARIO, clock: 1000, port: 'file:/dev/full' } as const;
    const module = await openModule(full);
    const codes = [await codeOf(() => module.finished), await codeOf(() => module.close())];
    expect(codes).toContain('out.full');
  });
});

describe('what openModule refuses', () => {
  const wrong = join(folder, 'wrong.yaml');
  writeFileSync(wrong, 'lodestub: 1\nroute: []\n');
  const cases: readonly (readonly [code: string, options: Parameters<typeof openModule>[0]])[] = [
    ['scenario.missing', { scenario: 'nowhere.yaml' }],
    ['scenario.range', { scenario: wrong }],
    ['scenario.unknown-key', { scenario: { ...SCENARIO, reciever: {} } }],
    ['scenario.required', { scenario: { lodestub: 1 } }],
    ['module.unknown-name', { module: 'nope' }],
    ['port.spec', { port: 'tcp:abc' }],
    ['port.missing', { port: '/dev/ttyNONE7' }],
    ['out.missing-folder', { port: `file:${folder}/nowhere/x` }],
  ];
  for (const [code, options] of cases) {
    it(`${code}: ${JSON.stringify(options).slice(0, 60)}`, async () => {
      expect(await codeOf(() => openModule(options))).toBe(code);
    });
  }

  it('library.clock and library.port: what does not fit the clock or the port', async () => {
    const module = await openModule({ clock: 1, port: 'mock:/dev/X' });
    expect(await codeOf(() => module.advance(1))).toBe('library.clock');
    expect(await codeOf(() => module.read())).toBe('library.port');
    await module.close();
    const manual = await openModule();
    expect(await codeOf(() => manual.advance(-1))).toBe('library.clock');
    expect(await codeOf(() => manual.advance(Number.NaN))).toBe('library.clock');
    await manual.close();
  });
});

describe('a module that fails', () => {
  it.each([Number.NaN, 0, -1, 5000])('refuses the clock %d', async (clock) => {
    await expect(openModule({ clock })).rejects.toMatchObject({ code: 'library.clock' });
  });

  it('frees its port though the journal fails at the end', async () => {
    const module = await openModule({
      port: 'tcp:0',
      onJournal: (line) => {
        if (line.startsWith('{"type":"end"')) throw new Error('no room');
      },
    });
    module.advance(2000);
    await expect(module.close()).rejects.toThrow('no room');
    const port = Number(module.port.split(':').at(-1));
    const again = await openModule({ port: `tcp:${port}` });
    expect(again.port).toBe(module.port);
    await again.close();
  });

  it('with a real clock tells whoever waits for the end, and ends nobody who does not', async () => {
    const module = await openModule({
      clock: 1000,
      onEpoch: () => {
        throw new Error('my own mistake');
      },
    });
    await expect(module.finished).rejects.toThrow('my own mistake');
    await module.close();
    const other = await openModule({
      clock: 1000,
      onEpoch: () => {
        throw new Error('nobody waits for it');
      },
    });
    // An unhandled rejection would fail the whole run of tests.
    await new Promise((resolve) => setTimeout(resolve, 50));
    await other.close();
  });
});
