import { describe, expect, it } from 'vitest';
import { describeScenario } from '../../src/scenario/describe.js';
import { readScenario } from '../../src/scenario/read.js';

const HOLD = '  - { hold: 60 s, at: [47.1, 8.2, 430 m] }\n';

async function described(yaml: string): Promise<string[]> {
  const scenario = await readScenario(`lodestub: 1\n${yaml}`, { file: 'lap.yaml', baseFolder: '.', overrides: {} });
  return describeScenario(scenario).split('\n');
}

const steps = (count: number) => `route:\n${HOLD}${'  - { hold: 5 s }\n'.repeat(count - 1)}`;
const entries = (count: number) => `timeline:\n${'  - { at: 3 s, for: 2 s, fault: silence }\n'.repeat(count)}`;

describe('what a scenario will do', () => {
  it.each([
    ['fault: restart', 'restart (start cold, off 1 s, cut at-once)'],
    ['fault: restart, with: { off: 20 min }', 'restart (start cold, off 20 min, cut at-once)'],
    ['fault: bunched-delivery', 'bunched-delivery (hold 16 ms, packet 62)'],
    ['fault: interference, with: { loss: 12 dB, ramp: 90 s }', 'interference (loss 12 dB, ramp 90 s)'],
    [
      'fault: false-sky, with: { offset: { north: -50 m }, rate: 0.4 m/s }',
      'false-sky (offset { east: 0, north: -50 m, up: 0 }, time 0, onset gradual, rate 0.4 m/s, power 6 dB)',
    ],
    ['fault: signal-loss, with: { satellites: [G05, R12] }', 'signal-loss (satellites [G05, R12])'],
    ['fault: wrong-speed', 'wrong-speed (baud 4800)'],
    ['for: 3 s, fault: silence, chance: 2 /min', 'silence, 2 /min at random, 0:03 each'],
    ['for: 3 s, fault: silence, chance: 0.1 /s', 'silence, 0.1 /s at random, 0:03 each'],
    ['for: 3 s, fault: silence, chance: 7 /d', 'silence, 7 /d at random, 0:03 each'],
  ])('has settings as they are typed: %s', async (entry, expected) => {
    const lines = await described(`route:\n${HOLD}timeline:\n  - { at: 5 s, ${entry} }\n`);
    expect(lines.at(-1)).toMatch(/^ {3}1 {6}0:05 to (the end|\d.*?\d) {2,}\S/);
    expect(lines.at(-1)?.replace(/^ +1 +0:05 to (the end|\S+( \S+)?) {2,}/, '')).toBe(expected);
  });

  it('tells what a host meets that not every module has, and nothing of it where a module is plain', async () => {
    const module = [
      'dialect: none',
      'bridge: { hold: 8 ms, packet: 32 }',
      'on-open: cold',
      'boot: 4 s',
      'speed-search: { speeds: [9600, 4800], dwell: 1 s }',
    ].join(', ');
    const lines = await described(`${steps(1)}module: { ${module} }\n`);
    expect(lines.filter((line) => line.startsWith('host side'))).toEqual([
      'host side dialect none; bridge (hold 8 ms, packet 32); cold start when a host opens the port; boots for 4 s; ' +
        'searches the speed: 9600, 4800, 1 s each',
    ]);
    expect((await described(steps(1))).join()).not.toContain('host side');
    const full = await described(`${steps(20)}${entries(20)}module: { boot: 1 s }\n`);
    expect(full).toHaveLength(MOST_LINES);
  });

  it('tells where the run is stopped, and how', async () => {
    const stops = '  - { at: 5 s, stop: after-sentence }\n  - { at: 5.1 s, stop: at-once }\n';
    const lines = await described(`${steps(1)}timeline:\n${stops}`);
    expect(lines.at(-2)).toMatch(/^ +1 +0:05 +the run ends, with the sentence on the line$/);
    expect(lines.at(-1)).toMatch(/^ +2 +0:05\.1 +the run ends at once$/);
  });

  /** A terminal's height, less a prompt: what a screen shows at once. */
  const MOST_LINES = 25;

  it.each([
    [1, 14, 0, 0],
    [4, 11, 0, 0],
    [7, 8, 0, 0],
    [1, 20, 0, 7],
    [20, 1, 7, 0],
    [20, 8, 14, 0],
    [20, 20, 17, 10],
    [15, 0, 0, 0],
  ])('%i steps and %i entries stay within 25 lines, and neither is cut without need', async (...counts) => {
    const [stepCount, entryCount, stepsLeft, entriesLeft] = counts;
    const lines = await described(steps(stepCount) + (entryCount === 0 ? '' : entries(entryCount)));
    expect(lines.length).toBeLessThanOrEqual(MOST_LINES);
    const left = (what: string) =>
      Number(/… and (\d+) more/.exec(lines.find((line) => line.endsWith(what)) ?? '')?.[1] ?? 0);
    expect([left(' more steps'), left(' more entries')]).toEqual([stepsLeft, entriesLeft]);
    if (stepsLeft + entriesLeft > 0) expect(lines).toHaveLength(MOST_LINES);
  });
});
