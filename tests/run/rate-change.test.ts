import { describe, expect, it } from 'vitest';
import { linesOf, playRun, roof } from './helper.js';

/** Farther off than this no position in open sky comes, m: ten standard deviations. */
const FAR_M = 30;
/** Metres in a degree of latitude. */
const DEGREE_M = 111_200;

const scenario = roof({
  module: { baud: 115_200, dialect: 'lodestub', sentences: { RMC: 1 } },
  timeline: [
    { at: '20.36 s', command: '$PLDB,RATE,10' },
    { at: '40.25 s', command: '$PLDB,RATE,1' },
  ],
});

describe('a host changes the rate in mid-run', () => {
  it('epochs come at the new rate, at whole multiples of it, and the position goes on', async () => {
    const { journal } = await playRun({ scenario });
    const all = linesOf(journal, 'epoch').filter(({ report }) => report.fix === '3d');
    const times = all.map(({ atMs }) => atMs);
    const fast = times.filter((atMs) => atMs > 20_000 && atMs < 41_000);
    expect(fast[0]).toBeLessThan(20_600);
    expect(fast.every((atMs) => atMs % 100 === 0)).toBe(true);
    expect(fast.length).toBeGreaterThan(190);
    expect(times.filter((atMs) => atMs <= 20_000 || atMs >= 41_000).every((atMs) => atMs % 1000 === 0)).toBe(true);
    for (const { report, truth, atMs } of all) {
      const offM = Math.abs((report.latitudeDeg as number) - truth.latitudeDeg) * DEGREE_M;
      expect(offM, `${atMs} ms`).toBeLessThan(FAR_M);
    }
  });

  it('time in the sentences is the epochs’, each once', async () => {
    const { journal } = await playRun({ scenario });
    const seconds = linesOf(journal, 'sentence')
      .filter(({ text }) => text.slice(3, 6) === 'RMC' && text.split(',')[1] !== '')
      .map(({ text }) => Number(text.split(',')[1]));
    expect(new Set(seconds).size).toBe(seconds.length);
    expect([...seconds].sort((a, b) => a - b)).toEqual(seconds);
  });

  it('the bytes do not depend on how time is told', async () => {
    const [whole, pieces] = [await playRun({ scenario }), await playRun({ scenario, cutMs: 37 })];
    expect(pieces.bytes.equals(whole.bytes)).toBe(true);
    expect(pieces.lines).toEqual(whole.lines);
  });
});
