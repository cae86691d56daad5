import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { openModule } from '../../src/index.js';
import { ModuleRun } from '../../src/run/module-run.js';
import { playFlatOut } from '../../src/run/play.js';
import { readScenario } from '../../src/scenario/read.js';
import { playRun, roof } from './helper.js';

const TIMELINE = [
  { at: '5 s', for: '30 s', fault: 'bad-checksum' },
  { at: '8 s', for: '30 s', fault: 'garbage-bytes', with: { size: 40 } },
  { at: '12.3 s', for: '2 s', fault: 'silence' },
  { at: '25.5 s', fault: 'restart', with: { start: 'hot' } },
];
const STRUCK = roof({ timeline: TIMELINE });
const SATURATED = roof({ timeline: TIMELINE, module: { baud: 1200, jitter: '40 ms' } });

const FULL_SKY = roof({
  receiver: { start: 'hot', bands: ['L1', 'L5'], 'sbas-corrections': true, smoothing: { 'dead-reckoning': '5 s' } },
  sky: { systems: ['gps', 'glonass', 'galileo', 'beidou', 'qzss', 'navic', 'sbas'] },
  module: { baud: 230_400, 'transmit-buffer': 16_384 },
  surroundings: 'street-canyon',
  timeline: [
    { at: '10 s', for: '20 s', fault: 'interference', with: { loss: '15 dB', ramp: '5 s' } },
    { at: '35 s', for: '10 s', surroundings: 'forest' },
    { at: '50 s', fault: 'false-sky', with: { offset: { east: '200 m' }, rate: '20 m/s' } },
  ],
});

const folder = mkdtempSync(join(tmpdir(), 'lodestub-run-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe.each([
  ['a usual line', STRUCK],
  ['a saturated line', SATURATED],
  ['a line that tells of seven systems', FULL_SKY],
])('the same bytes on %s', (_name, scenario) => {
  it('come however time is told: by 1 ms, 7 ms, a second and at once', async () => {
    const whole = await playRun({ scenario });
    expect(whole.bytes.length).toBeGreaterThan(5000);
    for (const cutMs of [1, 7, 1000, 3_600_000]) {
      const cut = await playRun({ scenario, cutMs });
      expect(cut.bytes.equals(whole.bytes), `by ${cutMs} ms`).toBe(true);
      expect(cut.lines, `by ${cutMs} ms`).toEqual(whole.lines);
    }
  });

  it('come by any other cuts too, and none before its stop bit', async () => {
    const whole = await playRun({ scenario });
    await fc.assert(
      fc.asyncProperty(fc.array(fc.double({ min: 0, max: 4000, noNaN: true }), { maxLength: 40 }), async (steps) => {
        const module = await openModule({ scenario });
        const parts: Buffer[] = [];
        for (const stepMs of steps) {
          module.advance(stepMs);
          parts.push(module.read());
        }
        module.advance(Infinity);
        parts.push(module.read());
        await module.close();
        expect(Buffer.concat(parts).equals(whole.bytes)).toBe(true);
      }),
      { numRuns: 10 },
    );
  });

  it('come with a journal and without, into memory and into a file, and flat out', async () => {
    const whole = await playRun({ scenario });
    const silent = await openModule({ scenario });
    silent.advance(Infinity);
    expect(silent.read().equals(whole.bytes)).toBe(true);
    await silent.close();

    const path = join(folder, `${whole.bytes.length}.nmea`);
    const toFile = await openModule({ scenario, port: `file:${path}` });
    toFile.advance(Infinity);
    await toFile.close();
    expect(readFileSync(path).equals(whole.bytes)).toBe(true);

    let flatOut = '';
    const read = await readScenario(JSON.stringify(scenario), { file: 'scenario', baseFolder: '.' });
    const run = new ModuleRun(read, {
      now: { year: 2026, month: 1, day: 1, hour: 0, minute: 0, second: 0 },
      send: (bytes) => {
        flatOut += bytes;
      },
    });
    await playFlatOut(run, { isStopped: false });
    expect(Buffer.from(flatOut, 'latin1').equals(whole.bytes)).toBe(true);

    const raw = await openModule({ scenario, onEpoch: () => {} });
    raw.advance(Infinity);
    expect(raw.read().equals(whole.bytes)).toBe(true);
    await raw.close();
  });
});

describe('the seed', () => {
  it('changes the bytes, and the same one does not', async () => {
    const [a, b, c] = await Promise.all([1, 2, 1].map((seed) => playRun({ scenario: roof(), seed })));
    expect(a?.bytes.equals(c?.bytes as Buffer)).toBe(true);
    expect(a?.bytes.equals(b?.bytes as Buffer)).toBe(false);
  });

  it('given in place of the scenario’s is as if it stood there', async () => {
    const inside = await playRun({ scenario: roof({ seed: 9 }) });
    const beside = await playRun({ scenario: roof(), seed: 9 });
    expect(beside.bytes.equals(inside.bytes)).toBe(true);
    // The first line tells which text was read.
    expect(beside.lines.slice(1)).toEqual(inside.lines.slice(1));
  });
});
