import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { repeatOf } from '../../src/control/repeat.js';
import { readScenario } from '../../src/scenario/read.js';
import type { JournalRecord } from '../../src/truth/journal-record.js';
import { proofOf } from '../truth/proof-helper.js';
import { Controlled, scenarioOf } from './helper.js';

const folder = mkdtempSync(join(tmpdir(), 'lodestub-stopped-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const OUT = join(folder, 'again.yaml');

const recordsOf = ({ lines }: Controlled) => lines.map((line) => JSON.parse(line) as JournalRecord);

async function again(first: Controlled): Promise<Controlled & { text: string }> {
  const text = await repeatOf(recordsOf(first), OUT);
  const second = new Controlled(await readScenario(text, { file: OUT, baseFolder: folder }));
  second.finish();
  return Object.assign(second, { text });
}

/** Holds what repeats a run against what it repeats. */
function expectSame(first: Controlled, second: Controlled): void {
  expect(second.bytes).toBe(first.bytes);
  expect(proofOf(first.lines, Buffer.from(second.bytes, 'latin1'))).toMatchObject({ isProven: true });
  const deedless = ({ lines }: Controlled) => lines.slice(1).filter((line) => !line.startsWith('{"type":"control"'));
  expect(deedless(second)).toEqual(deedless(first));
}

/** So long after an epoch a run is stopped, ms: before its first byte, within sentences, after the last, in a tick. */
const WITHIN_EPOCH_MS = [0, 3, 61, 120, 187, 260.4447, 333, 481, 700, 979.9999, 999];
const BAUDS = [4800, 115_200];

describe.each(BAUDS)('at %i baud a run that was stopped is repeated to the last byte', (baud) => {
  const quick = () => scenarioOf({ module: { baud }, receiver: { start: 'hot' } });

  it.each(WITHIN_EPOCH_MS)('%d ms after an epoch, with the sentence on the line', async (ms) => {
    const first = new Controlled(await quick());
    first.pass(5000 + ms);
    first.stop();
    const second = await again(first);
    expect(first.bytes.endsWith('\r\n')).toBe(true);
    expect(first.run.epochsDone).toBeLessThan(7);
    expectSame(first, second);
  });

  it.each(WITHIN_EPOCH_MS)('%d ms after an epoch, at once', async (ms) => {
    const first = new Controlled(await quick());
    first.pass(5000 + ms);
    first.run.abort();
    first.run.finish();
    expectSame(first, await again(first));
  });

  it('by a second signal while the sentence is finished', async () => {
    const first = new Controlled(await quick());
    first.pass(5000 + 250);
    const before = first.bytes.length;
    first.run.stop();
    first.pass(33.3333);
    first.run.abort();
    first.run.finish();
    expect(first.bytes.length).toBeGreaterThanOrEqual(before);
    expectSame(first, await again(first));
  });
});

describe('a run that was stopped', () => {
  it('keeps what follows from the planned length: the places that damaged sentences tell', async () => {
    const damage = { at: '1 s', for: '20 s', fault: 'bad-checksum', with: { share: 0.5, 'tell-tale': true } };
    const route = [
      { hold: '5 s', at: [47.1, 8.2] },
      { go: [47.2, 8.3], speed: '90 km/h' },
    ];
    const first = new Controlled(await scenarioOf({ timeline: [damage], receiver: { start: 'hot' }, route }));
    first.pass(9400);
    first.stop();
    expect(first.lines.join()).toContain('tellTale');
    expectSame(first, await again(first));
  });

  it('is repeated with what was still in force, and with what was to begin when it ended', async () => {
    const first = new Controlled(await scenarioOf());
    first.pass(5000);
    first.live.startOffer('garbage-bytes');
    first.pass(4321);
    first.live.startOffer('bad-checksum');
    first.stop();
    expectSame(first, await again(first));
  });

  it('after its last epoch, while what waits goes out', async () => {
    const first = new Controlled(await scenarioOf({ duration: '4 s', module: { baud: 1200 } }));
    first.pass(4800);
    first.stop();
    const second = await again(first);
    expect(first.bytes.length).toBeGreaterThan(100);
    expectSame(first, second);
  });

  it('is repeated by what repeats its repeat, and stops there however it is written', async () => {
    const first = new Controlled(await scenarioOf());
    first.pass(3456);
    first.stop();
    const second = await again(first);
    expect(second.text).toMatch(/\{ at: 3\.\d+ s, stop: after-sentence \}/);
    const third = await again(second);
    expectSame(second, third);
    expect(third.text.match(/stop:/g)).toHaveLength(1);
  });

  it('of which the journal has no end, begins with the same bytes and has the same epochs', async () => {
    const first = new Controlled(await scenarioOf());
    first.pass(6789);
    const second = await again(first);
    expect(second.bytes.startsWith(first.bytes)).toBe(true);
    expect(second.run.epochsDone).toBe(first.run.epochsDone);
  });
});

describe('a stop in a timeline', () => {
  it('ends the run with the sentence on the line, or in the middle of it', async () => {
    const play = async (stop: string) => {
      const run = new Controlled(await scenarioOf({ timeline: [{ at: '5.3 s', stop }], receiver: { start: 'hot' } }));
      run.finish();
      return run;
    };
    const [whole, cut] = [await play('after-sentence'), await play('at-once')];
    expect(whole.bytes.endsWith('\r\n')).toBe(true);
    expect(whole.run.endMs).toBeGreaterThan(5300);
    expect(whole.bytes.startsWith(cut.bytes)).toBe(true);
    expect(cut.run.endMs).toBe(5300);
    expect(cut.bytes.endsWith('\r\n')).toBe(false);
    for (const { bytes, lines } of [whole, cut]) {
      expect(proofOf(lines, Buffer.from(bytes, 'latin1'))).toMatchObject({ isProven: true });
    }
  });

  it('has two ways, and no others', async () => {
    await expect(scenarioOf({ timeline: [{ at: '1 s', stop: 'soon' }] })).rejects.toThrow(/after-sentence/);
    await expect(scenarioOf({ timeline: [{ at: '1 s', for: '2 s', stop: 'at-once' }] })).rejects.toThrow(/for/);
  });
});
