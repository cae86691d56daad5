import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { repeatOf } from '../../src/control/repeat.js';
import { bitErrors } from '../../src/faults/kinds/bit-errors.js';
import { signalLoss } from '../../src/faults/kinds/signal-loss.js';
import { silence } from '../../src/faults/kinds/silence.js';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { ModuleRun } from '../../src/run/module-run.js';
import { readScenario } from '../../src/scenario/read.js';
import type { JournalRecord } from '../../src/truth/journal-record.js';
import { epochText, latin1, NOW, playScenario, proofOf, recordsOf, replay, scenarioOf } from './helper.js';

const folder = mkdtempSync(join(tmpdir(), 'lodestub-replay-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const EPOCHS = 40;
const log = Array.from({ length: EPOCHS }, (_, second) => epochText(`1200${String(second).padStart(2, '0')}.00`)).join(
  '',
);
const FROM_MS = 10_000;
const TO_MS = 20_000;
const entry = (fault: string, more: object = {}) => ({ at: '10 s', for: '10 s', fault, ...more });

interface Place {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
}
const RECORDED: Place = { latitudeDeg: 52.38333, longitudeDeg: 9.71667 };
/** 555 km, by the docstring of tell-tales, are a little less than this on a sphere of the Earth's size. */
const FAR_DEG = 4.9;

/** Angle between two places at the centre of a sphere (haversine), deg. */
function angleDeg(a: Place, b: Place): number {
  const rad = Math.PI / 180;
  const half = (from: number, to: number) => Math.sin(((to - from) * rad) / 2) ** 2;
  const latitudes = Math.cos(a.latitudeDeg * rad) * Math.cos(b.latitudeDeg * rad);
  const sum = half(a.latitudeDeg, b.latitudeDeg) + latitudes * half(a.longitudeDeg, b.longitudeDeg);
  return (2 * Math.asin(Math.sqrt(sum))) / rad;
}

describe('faults on top of a recording', () => {
  const kinds = FAULT_KINDS.filter(({ stage }) => stage === 'sentence' || stage === 'byte' || stage === 'port');

  it.each(kinds.map(({ name, stage }) => [name, stage]))(
    '%s, of stage %s: the journal proves the bytes',
    async (name) => {
      const { bytes, lines, journal } = await replay(latin1(log), { baud: 9600, timeline: [entry(name)] });
      expect(proofOf(lines, bytes)).toMatchObject({ isProven: true, findings: [] });
      const phases = recordsOf(journal, 'fault').map(({ phase, atMs }) => [phase, atMs]);
      expect(phases[0]).toEqual(['begin', FROM_MS]);
      expect(phases[1]?.[0]).toBe('end');
      const first = log.slice(0, log.indexOf('$GNRMC,120010'));
      expect(bytes.toString('latin1').startsWith(first)).toBe(true);
    },
  );

  it('all of them at once, however time is cut: the same bytes and journal', async () => {
    const timeline = kinds.map(({ name }, index) => ({ at: `${5 + (index % 7)} s`, for: '9 s', fault: name }));
    for (const timing of ['stamps', 'line'] as const) {
      const whole = await replay(latin1(log), { baud: 9600, timing, timeline });
      const cut = await replay(latin1(log), { baud: 9600, timing, timeline, cutMs: 37 });
      expect(cut.lines).toEqual(whole.lines);
      expect(cut.bytes.equals(whole.bytes)).toBe(true);
      expect(proofOf(cut.lines, cut.bytes)).toMatchObject({ isProven: true, findings: [] });
    }
  });

  it('bad-checksum acts on the sentences of its time alone, and its tell-tales are far from the recorded places', async () => {
    const timeline = [entry('bad-checksum', { with: { share: 1, 'tell-tale': true, sentences: ['RMC'] } })];
    const { journal } = await replay(latin1(log), { timeline });
    const touched = recordsOf(journal, 'sentence').filter(({ faults }) => (faults as string[]).length > 0);
    expect(touched).toHaveLength(10);
    for (const { text, startMs, tellTale } of touched) {
      expect(text).toMatch(/^\$GNRMC,1200(1\d)/);
      expect((startMs as number) >= FROM_MS && (startMs as number) < TO_MS).toBe(true);
      expect(angleDeg(tellTale as Place, RECORDED)).toBeGreaterThan(FAR_DEG);
    }
  });

  it('silence leaves a hole in a recording that is played back to back', async () => {
    const { bytes, lines, journal } = await replay(latin1(log), {
      timing: 'line',
      baud: 4800,
      timeline: [{ at: '2 s', for: '3 s', fault: 'silence' }],
    });
    expect(proofOf(lines, bytes)).toMatchObject({ isProven: true, findings: [] });
    const whole = await replay(latin1(log), { timing: 'line', baud: 4800 });
    const endOf = (all: typeof journal) => all.filter(({ type }) => type === 'sentence').at(-1)?.endMs as number;
    expect(bytes.length).toBeLessThan(whole.bytes.length);
    expect(Math.abs(endOf(journal) - endOf(whole.journal))).toBeLessThan(1);
  });

  it('port-loss takes the port away for its time', async () => {
    const events: string[] = [];
    const scenario = await scenarioOf(latin1(log), { timeline: [entry('port-loss')] });
    const run = new ModuleRun(scenario, {
      now: NOW,
      send: () => {},
      port: {
        name: 'here',
        write: (bytes) => bytes.length,
        close: async () => {},
        vanish: () => events.push(`gone at ${run.reachedMs >= FROM_MS}`),
        comeBack: () => events.push('back'),
      },
    });
    run.advanceTo(FROM_MS - 100);
    expect(events).toEqual([]);
    run.advanceTo(FROM_MS + 100);
    expect(events).toEqual(['gone at true']);
    run.advanceTo(Infinity);
    expect(events).toEqual(['gone at true', 'back']);
  });

  it('of a receiver and surroundings are refused by hand, with what a recording takes', async () => {
    const scenario = await scenarioOf(latin1(log));
    const run = new ModuleRun(scenario, { now: NOW, send: () => {} });
    expect(() => run.start(signalLoss, {}, null)).toThrow(
      /^replay\.no-receiver: signal-loss: this fault acts on a receiver/,
    );
    expect(() => run.surround({ kind: 'tunnel' }, null)).toThrow(/^replay\.no-receiver: /);
    expect(run.start(silence, {}, 3)).not.toBeNull();
  });

  it('does not care what a host sends, and has it on record', async () => {
    const { bytes, lines } = await replay(latin1(log), {
      cutMs: 500,
      onCut: (run) => run.hear(latin1('$GPGPQ,GGA*2F\r\n')),
    });
    expect(bytes.toString('latin1')).toBe(log);
    expect(lines.some((line) => line.startsWith('{"type":"host"'))).toBe(true);
    expect(proofOf(lines, bytes)).toMatchObject({ isProven: true });
  });

  it('stops where it is told to, after whole sentences, and is on record up to there', async () => {
    const { bytes, lines } = await replay(latin1(log), {
      baud: 1200,
      cutMs: 700,
      onCut: (run) => run.reachedMs > 5000 && run.stop(),
    });
    const text = bytes.toString('latin1');
    expect(text.endsWith('\r\n')).toBe(true);
    expect(log.startsWith(text) && text.length > 0 && text.length < log.length).toBe(true);
    expect(proofOf(lines, bytes)).toMatchObject({ isProven: true, findings: [] });
  });

  it('a duration ends it, and one that is longer does not', async () => {
    const short = await replay(latin1(log), { durationS: 2.5 });
    expect(short.bytes.toString('latin1')).toBe(log.slice(0, log.indexOf('$GNRMC,120003')));
    expect(short.run.endMs).toBe(2500);
    const long = await replay(latin1(log), { durationS: 3600 });
    expect(long.bytes.toString('latin1')).toBe(log);
    expect(long.run.endMs).toBeLessThan(EPOCHS * 1000);
  });
});

describe('a replay that was played by hand is repeated', () => {
  it.each([
    ['by the stamps', {}],
    ['with its times moved to now', { 'shift-time': 'now' }],
    ['back to back', { timing: 'line' }],
  ])('%s: the same bytes and journal', async (_, settings) => {
    const file = join(folder, 'field.nmea');
    writeFileSync(file, log);
    const text = JSON.stringify({ lodestub: 1, recording: { file: './field.nmea', ...settings } });
    const scenario = await readScenario(text, {
      file: join(folder, 'first.yaml'),
      baseFolder: folder,
      overrides: { baud: 4800 },
    });
    let count = 0;
    const first = playScenario(scenario, {
      cutMs: 333,
      onCut: (run) => {
        count++;
        if (count === 4) run.start(bitErrors, bitErrors.settings.parse({}), 2);
        if (count === 5) run.hear(latin1('hello\r\n'));
        if (count === 20) run.stop();
      },
    });
    const out = join(folder, 'again.yaml');
    const again = await repeatOf(first.journal as unknown as JournalRecord[], out);
    const second = playScenario(await readScenario(again, { file: out, baseFolder: folder }), {});
    expect(second.bytes.equals(first.bytes)).toBe(true);
    expect(recordsOf(second.journal, 'epoch')).toEqual(recordsOf(first.journal, 'epoch'));
    expect((second.journal[0] as { startUtc?: string }).startUtc).toBe(
      (first.journal[0] as { startUtc?: string }).startUtc,
    );
    expect(recordsOf(first.journal, 'fault').length).toBeGreaterThan(0);
    expect(recordsOf(second.journal, 'fault')).toEqual(recordsOf(first.journal, 'fault'));
  });
});
