import { describe, expect, it } from 'vitest';
import { stringify } from 'yaml';
import { RandomStreams } from '../../src/base/random.js';
import { silence } from '../../src/faults/kinds/silence.js';
import { occurrencesOf } from '../../src/faults/occurrence.js';
import { readScenario } from '../../src/scenario/read.js';
import { roof } from '../run/helper.js';

/** Begin and end of each occurrence of an entry in a time, s. */
function times(seed: number, ratePerS: number, forS: number, fromS: number, untilS: number): [number, number][] {
  const entry = { name: '1', place: 1, atS: fromS, forS, chance: { ratePerS, untilS }, fault: silence, settings: {} };
  return [...occurrencesOf(entry, new RandomStreams(seed))].map(({ beginMs, endMs }) => [beginMs / 1000, endMs / 1000]);
}

/** A right count is farther off once in two million. */
const SIGMAS = 5;

describe('chance', () => {
  // From nearly always there to hardly ever, and a time in which there is less than one.
  it.each([
    [5, 0.1, 1000, 20],
    [1 / 60, 30, 1000, 2000],
    [1 / 60, 57, 1000, 2000],
    [2, 0.001, 1000, 20],
    [0.1, 9, 4, 20_000],
  ])('%f /s, each %f s: as many in %i s on average as the rate says (%i runs)', (ratePerS, forS, lengthS, runs) => {
    let [count, squares] = [0, 0];
    for (let seed = 0; seed < runs; seed++) {
      const { length } = times(seed, ratePerS, forS, 7, 7 + lengthS);
      count += length;
      squares += length * length;
    }
    const mean = count / runs;
    const ofMean = Math.sqrt((squares / runs - mean * mean) / runs);
    expect(Math.abs(mean - ratePerS * lengthS)).toBeLessThan(SIGMAS * ofMean);
    // The test can tell a rate that is 2 in 100 off, or the gaps' own.
    expect(ofMean).toBeLessThan((ratePerS * lengthS * 0.02) / 2);
  });

  it('leaves exponential gaps of 1/rate less the length between them', () => {
    const list = times(3, 0.5, 1.2, 0, 20_000);
    const gaps = list.slice(1).map(([begin], i) => begin - (list[i] as [number, number])[1]);
    const MEAN_S = 1 / 0.5 - 1.2;
    const n = gaps.length;
    const mean = gaps.reduce((sum, gap) => sum + gap, 0) / n;
    expect(Math.abs(mean - MEAN_S)).toBeLessThan((SIGMAS * MEAN_S) / Math.sqrt(n));
    // Of an exponential distribution a share of 1/e is longer than the mean.
    const longer = gaps.filter((gap) => gap > MEAN_S).length / n;
    expect(Math.abs(longer - Math.exp(-1))).toBeLessThan(SIGMAS * Math.sqrt((Math.exp(-1) * (1 - Math.exp(-1))) / n));
    expect(Math.min(...gaps)).toBeGreaterThanOrEqual(0);
    // Times are kept to the microsecond.
    for (const [begin, end] of list) expect(Math.abs(end - begin - 1.2)).toBeLessThan(2e-6);
  });
});

describe('chance in a scenario', () => {
  const read = (entry: object) =>
    readScenario(stringify(roof({ timeline: [{ at: '1 s', ...entry }] })), { file: 'a.yaml', baseFolder: '' });

  it.each([
    [{ chance: '1 /min', for: '60 s', fault: 'silence' }, 'got "1 /min" times 60 s. Lower the rate'],
    [{ chance: '10 /s', for: '100 ms', fault: 'silence' }, 'got "10 /s" times 0.1 s. Lower the rate'],
    [{ chance: '2 /s', fault: 'restart', with: {} }, 'got "2 /s" times 1 s. Lower the rate'],
  ])('is refused where the times would overlap: %j', async (entry, message) => {
    await expect(read(entry)).rejects.toThrow(/scenario\.range: a\.yaml, .*timeline\.1\.chance: expected a rate that/);
    await expect(read(entry)).rejects.toThrow(message);
  });

  it('is refused without an end', async () => {
    await expect(read({ chance: '1 /min', fault: 'silence' })).rejects.toThrow(
      /scenario\.required: a\.yaml, .*timeline\.1\.for: the key for is missing; expected beside chance how long/,
    );
  });

  it('is taken where they leave some time, or the kind ends by itself', async () => {
    await read({ chance: '1 /min', for: '59 s', fault: 'silence' });
    await read({ chance: '1 /min', fault: 'restart' });
  });
});
