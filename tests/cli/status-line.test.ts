import { expect, it } from 'vitest';
import { type LineFacts, statusText } from '../../src/cli/status-line.js';
import { openModule, type Step } from '../../src/index.js';

const LINE: LineFacts = {
  sentBytes: 2595,
  lostBytes: 0,
  load: 0.52,
  baud: 9600,
  hostBaud: null,
  isPaused: false,
  pace: 1,
  inForce: ['frozen-position'],
};

/** The steps of a minute. */
async function steps(start: string): Promise<Step[]> {
  const found: Step[] = [];
  const module = await openModule({
    scenario: {
      lodestub: 1,
      start: '2026-02-02T08:00:00Z',
      receiver: { start },
      route: [{ hold: '60 s', at: [52.375, 9.72] }],
    },
    onEpoch: (step) => found.push(step),
  });
  module.advance(60_000);
  await module.close();
  return found;
}

it('shows whole fields only, as many as fit, and a fault even in 80 columns', async () => {
  const last = (await steps('hot')).at(-1) as Step;
  const all = statusText(last, LINE, 400).split(' | ');
  expect(all).toContain('2595 B');
  for (let width = 30; width <= 200; width++) {
    const text = statusText(last, LINE, width);
    expect(text.length).toBeLessThanOrEqual(width);
    const fields = text.split(' | ');
    expect(fields).toEqual(all.slice(0, fields.length));
  }
  expect(statusText(last, LINE, 79)).toMatch(/^SIMULATED 00:00:59 \| 3d fix \| frozen-position \| used \d+ of \d+/);
});

it('says what a cold start waits for: signals, time, orbits', async () => {
  const states = (await steps('cold')).map((step) => statusText(step, LINE, 79).split(' | ')[1] as string);
  const order = [/^searching \d+$/, /^tracking \d+, no time yet$/, /^tracking \d+, reading orbits$/, /^3d fix$/];
  const first = order.map((pattern) => states.findIndex((state) => pattern.test(state)));
  expect(first[0]).toBe(0);
  for (let k = 1; k < first.length; k++) expect(first[k]).toBeGreaterThan(first[k - 1] as number);
});

it('says that time stands still, goes at another pace, that the host’s speed is wrong, that bytes are lost', async () => {
  const last = (await steps('hot')).at(-1) as Step;
  const text = (facts: Partial<LineFacts>) => statusText(last, { ...LINE, ...facts }, 400);
  expect(text({})).not.toMatch(/PAUSED|pace|host at|not read/);
  expect(text({ isPaused: true })).toMatch(/^SIMULATED 00:00:59 \| PAUSED \| /);
  expect(text({ pace: 10 })).toContain(' | pace 10 | ');
  expect(text({ hostBaud: 4800 })).toContain(' | host at 4800 baud, module at 9600 | ');
  expect(text({ hostBaud: 9600 })).not.toContain('host at');
  expect(text({ lostBytes: 12 })).toContain('2595 B (12 not read)');
  expect(text({ inForce: [] })).not.toContain('frozen-position');
});
