import { describe, expect, it } from 'vitest';
import { openModule } from '../../src/index.js';
import { playRun, roof } from '../run/helper.js';

/** Sizes of what arrives at the host, ms by ms, and all of it. */
async function arrivals(scenario: Readonly<Record<string, unknown>>, untilMs: number) {
  const module = await openModule({ scenario });
  const sizes: number[] = [];
  let all = '';
  for (let nowMs = 1; nowMs <= untilMs; nowMs++) {
    module.advance(1);
    const bytes = module.read();
    sizes.push(bytes.length);
    all += bytes.toString('latin1');
  }
  await module.close();
  return { sizes, all: all + module.read().toString('latin1') };
}

describe('bunched-delivery', () => {
  const BEGIN_MS = 3000;
  const END_MS = 6000;
  const scenario = roof({
    duration: '8 s',
    timeline: [{ at: '3 s', for: '3 s', fault: 'bunched-delivery', with: { hold: '16 ms', packet: 62 } }],
  });

  it('hands over what has come once it has waited 16 ms, and only then', async () => {
    const { sizes } = await arrivals(scenario, 8000);
    // At 9600 baud 62 bytes take 65 ms: what decides is the wait, of 15 to 16 bytes.
    const inForce = sizes.slice(BEGIN_MS, END_MS).filter((size) => size > 0);
    expect(inForce.length).toBeGreaterThan(50);
    expect(Math.max(...inForce)).toBeLessThanOrEqual(17);
    const typical = inForce.filter((size) => size >= 14);
    expect(typical.length / inForce.length).toBeGreaterThan(0.8);
    for (const size of [...sizes.slice(0, BEGIN_MS), ...sizes.slice(END_MS + 20)]) expect(size).toBeLessThanOrEqual(2);
  });

  it('changes no byte and no order', async () => {
    const { all } = await arrivals(scenario, 8000);
    const plain = await playRun({ scenario: roof({ duration: '8 s' }) });
    expect(all).toBe(plain.bytes.toString('latin1'));
  });
});
