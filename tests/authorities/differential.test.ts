import { describe, expect, it } from 'vitest';
import type { Epoch } from '../../src/sim/epoch.js';
import { linesOf, playRun, roof } from '../run/helper.js';
import { epochs, errorOf, normalisedSquare, offM, rms, simulator, type Wish } from '../sim/receiver/still.js';

/** In Europe, where several SBAS satellites stand in the south. */
const AT = { latitudeDeg: 47, longitudeDeg: 8 };
const SBAS: Wish = { systems: ['gps', 'sbas'], at: AT, receiver: { sbasCorrections: true } };
/** The masks, corrections and delays of a set come within two minutes (RTCA DO-229D, table A-25; from memory). */
const SET_S = 120;
/** Search and bit edges. */
const FOUND_S = 10;
/** Messages come once a second, every second one with a correction. */
const FRESH_S = 3;
/** Corrections serve so long (common practice). */
const OLDEST_S = 60;

describe('corrections of SBAS (RTCA DO-229D, table A-25; from memory)', () => {
  const all = epochs(simulator(SBAS), 260);
  const first = all.findIndex(({ report }) => report.quality === 2);

  it('come once a whole set has been read, within two minutes after a hot start, and stay', () => {
    expect(first).toBeGreaterThan(SET_S / 2);
    expect(first).toBeLessThan(SET_S + FOUND_S);
    for (const { report } of all.slice(3, first)) {
      expect(report).toMatchObject({ quality: 1, mode: 'A', differential: null, systemModes: { gps: 'A' } });
    }
    for (const { report } of all.slice(first)) {
      expect(report).toMatchObject({ quality: 2, mode: 'D', systemModes: { gps: 'D' } });
      expect(report.differential?.ageS).toBeGreaterThanOrEqual(0);
      expect(report.differential?.ageS).toBeLessThanOrEqual(FRESH_S);
    }
  });

  it('name one satellite that is tracked by its PRN, the same one throughout', () => {
    const stations = new Set(all.slice(first).map(({ report }) => report.differential?.station));
    expect(stations.size).toBe(1);
    const [station] = [...stations] as [number];
    const sender = all.at(-1)?.satellites.find(({ id }) => id === `S${station - 100}`);
    expect(sender?.state).toBe('tracking');
  });

  it('SBAS satellites are shown and never used', () => {
    for (const { report, satellites } of all) {
      expect(report.used.some((id) => id.startsWith('S'))).toBe(false);
      expect(satellites.some(({ id, state }) => id.startsWith('S') && state === 'used')).toBe(false);
    }
    expect(all.at(-1)?.report.inView.some(({ id }) => id.startsWith('S'))).toBe(true);
  });

  it('are not used where the module does not take them', () => {
    const plain = epochs(simulator({ ...SBAS, receiver: { sbasCorrections: false } }), SET_S + 30);
    for (const { report } of plain.slice(3)) expect(report).toMatchObject({ quality: 1, differential: null });
  });

  it('grow old where SBAS is lost, and after a minute the position is autonomous again', () => {
    const lostS = 160;
    const run = simulator({
      ...SBAS,
      hooks: {
        signals: (signals, atMs) => {
          if (atMs < lostS * 1000) return;
          for (const signal of signals) if (signal.kind.system === 'sbas') signal.cn0DbHz = -Infinity;
        },
      },
    });
    epochs(run, lostS);
    for (const { report } of epochs(run, OLDEST_S - FRESH_S)) expect(report.mode).toBe('D');
    const old = run.next().report.differential?.ageS as number;
    expect(Math.abs(old - OLDEST_S)).toBeLessThanOrEqual(FRESH_S + 1);
    epochs(run, FRESH_S);
    for (const { report } of epochs(run, 20))
      expect(report).toMatchObject({ quality: 1, mode: 'A', differential: null });
  });

  it('with the nearest sender lost another takes over', () => {
    const station = all.at(-1)?.report.differential?.station as number;
    const run = simulator({
      ...SBAS,
      hooks: {
        signals: (signals, atMs) => {
          if (atMs < 160_000) return;
          for (const signal of signals) if (signal.id === `S${station - 100}`) signal.cn0DbHz = -Infinity;
        },
      },
    });
    const last = epochs(run, 200).at(-1) as Epoch;
    expect(last.report.mode).toBe('D');
    expect(last.report.differential?.station).not.toBe(station);
  });

  it('over 50 seeds make errors smaller by a third at least, and these fit their covariance (chi-square, mean 3)', () => {
    const seeds = Array.from({ length: 50 }, (_, seed) => seed);
    const runs = (sbasCorrections: boolean) =>
      seeds.map((seed) => {
        const wish = { ...SBAS, seed, startS: seed * 613, receiver: { sbasCorrections } };
        const run = simulator(wish);
        const epoch = epochs(run, sbasCorrections ? SET_S + FOUND_S : 4).at(-1) as Epoch;
        const solution = run.receiver.solution as NonNullable<typeof run.receiver.solution>;
        return { epoch, flatM: offM(epoch), upM: errorOf(epoch).upM, square: normalisedSquare(epoch, solution) };
      });
    const [without, corrected] = [runs(false), runs(true)];
    expect(corrected.every(({ epoch }) => epoch.report.quality === 2)).toBe(true);
    const TWO_THIRDS = 2 / 3;
    expect(rms(corrected.map(({ flatM }) => flatM))).toBeLessThan(TWO_THIRDS * rms(without.map(({ flatM }) => flatM)));
    expect(rms(corrected.map(({ upM }) => upM))).toBeLessThan(TWO_THIRDS * rms(without.map(({ upM }) => upM)));
    const mean = corrected.reduce((sum, { square }) => sum + square, 0) / seeds.length;
    // Four standard deviations of a mean of so many.
    expect(Math.abs(mean - 3)).toBeLessThan(4 * Math.sqrt(6 / seeds.length));
  });

  it('on the wire: quality 2 with age and station, mode D', async () => {
    const { journal } = await playRun({
      scenario: roof({
        duration: '150 s',
        sky: { systems: ['gps', 'sbas'] },
        module: { baud: 115_200, sentences: { GGA: 1, RMC: 1 }, receiver: { 'sbas-corrections': true } },
      }),
    });
    const texts = linesOf(journal, 'sentence').map(({ text }) => text.replace(/\*..$/, '').split(','));
    const gga = texts.filter(([head]) => head?.endsWith('GGA')).at(-1) as string[];
    expect(gga[6]).toBe('2');
    expect(Number(gga[13])).toBeLessThanOrEqual(FRESH_S);
    expect(gga[13]).not.toBe('');
    expect(Number(gga[14])).toBeGreaterThanOrEqual(120);
    expect(Number(gga[14])).toBeLessThanOrEqual(158);
    const rmc = texts.filter(([head]) => head?.endsWith('RMC')).at(-1) as string[];
    expect(rmc[12]).toBe('D');
  });
});
