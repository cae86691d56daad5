import { describe, expect, it } from 'vitest';
import { EXPECTATION_KINDS } from '../../../src/trial/expectations/registry.js';
import { EVERY_KIND, type KindCases, type Tried } from './every-kind.js';
import { evidenceOf, judgeOne } from './helper.js';

/** What a host comes to. */
async function judged(of: KindCases, { on, host, ...options }: Tried) {
  return judgeOne(of.expect, await evidenceOf(on, host, options));
}

describe('kinds of expectation', () => {
  it('have a host that fails, one that passes and one that leaves it untested, each of them', () => {
    expect(Object.keys(EVERY_KIND).sort()).toEqual(EXPECTATION_KINDS.map(({ key }) => key).sort());
  });
});

describe.each(Object.entries(EVERY_KIND))('%s', (key, of) => {
  it('is failed by a host that deserves it, with the worst moments', async () => {
    const { verdict, reason, kind, moments, surroundings, tests } = await judged(of, of.fails);
    expect({ verdict, kind }, reason).toEqual({ verdict: 'failed', kind: key });
    expect(reason).toMatch(of.fails.why);
    expect(tests).toBeGreaterThan(0);
    expect(moments.length).toBeGreaterThan(0);
    expect(moments.length).toBeLessThanOrEqual(10);
    expect(surroundings.map(({ moment }) => moment)).toEqual(moments.slice(0, 3));
  });

  it('is passed by a host that deserves it', async () => {
    const { verdict, reason, tests, moments } = await judged(of, of.passes);
    expect(verdict, reason).toBe('passed');
    expect(reason).toMatch(of.passes.why);
    expect(tests).toBeGreaterThan(0);
    expect(moments).toEqual([]);
  });

  it('is untested where nothing could tell', async () => {
    const { verdict, reason, tests } = await judged(of, of.untested);
    expect(verdict, reason).toBe('untested');
    expect(reason).toMatch(of.untested.why);
    expect(tests).toBe(0);
  });

  it('is untested where its time never came', async () => {
    const { on, host, ...options } = of.passes;
    const evidence = await evidenceOf(on, host, options);
    const other = judgeOne({ ...of.expect, during: 'antenna-fault' }, evidence);
    expect(other.verdict).toBe('untested');
    expect(other.reason).toBe('no fault and no surroundings "antenna-fault" were in force');
  });
});
