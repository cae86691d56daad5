import { expect, it } from 'vitest';
import { statusText } from '../../src/cli/status-line.js';
import { openModule, type Step } from '../../src/index.js';

const LINE = { sentBytes: 2595, lostBytes: 0, load: 0.52 };

/** The steps of a minute, with a fault in its second half. */
async function steps(start: string): Promise<Step[]> {
  const found: Step[] = [];
  const module = await openModule({
    scenario: {
      lodestub: 1,
      start: '2026-02-02T08:00:00Z',
      receiver: { start },
      route: [{ hold: '60 s', at: [52.375, 9.72] }],
      timeline: [{ at: '30 s', fault: 'frozen-position' }],
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
