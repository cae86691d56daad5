import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic } from '../../../src/base/frames.js';
import type { Stream } from '../../../src/base/random.js';
import type { CheckedSolution } from '../../../src/sim/receiver/exclusion.js';
import { solveChecked } from '../../../src/sim/receiver/integrity.js';
import type { Measurement } from '../../../src/sim/receiver/measurement.js';
import { Solver } from '../../../src/sim/receiver/solver.js';
import { anywhere, apartM, disturb, measured, stream } from './measured.js';

const DRAWS = 1000;
/** Of draws: in the rest the sky tells next to nothing of a satellite that is off, or cannot tell it from another. */
const FOUND = 0.97;
/** Statistics of so many draws lie within 4.5 of their standard deviations, but once in 150,000 times. */
const SIGMAS = 4.5;

interface Case {
  readonly all: Measurement[];
  readonly at: ReturnType<typeof anywhere>;
}

/** A sky with normal errors of 2 to 4 m. */
function sky(random: Stream, counts: readonly number[]): Case {
  const at = anywhere(random);
  const all = measured(random, { at, counts, clocksM: counts.map((_, c) => 200 * c), lowestDeg: 10 });
  for (const one of all) one.sigmaM = 2 + 2 * random.uniform();
  disturb(all, random);
  return { all, at };
}

function check({ all, at }: Case, columns: number): CheckedSolution {
  return solveChecked(new Solver(), all, all.length, columns, ecefFromGeodetic(at), null);
}

/** So many places of the first `count`, ascending. */
function places(random: Stream, count: number, many: number): number[] {
  const chosen = new Set<number>();
  while (chosen.size < many) chosen.add(Math.floor(count * random.uniform()));
  return [...chosen].sort((a, b) => a - b);
}

describe('satellites off', () => {
  it.each([
    [10, [10], [50]],
    [12, [7, 5], [-50]],
    [12, [12], [50, 50]],
    [12, [12], [50, -50]],
    [20, [12, 8], [50, -40, 60]],
    [36, [10, 9, 9, 8], [50, -40, 60, 45]],
  ])(
    '%d satellites (%j of the systems), errors of %j m: those and no others are left out',
    (count, counts, errorsM) => {
      const random = stream(`off/${counts}/${errorsM}`);
      let found = 0;
      let wrong = 0;
      for (let k = 0; k < DRAWS; k++) {
        const one = sky(random, counts);
        const bad = places(random, count, errorsM.length);
        for (const [i, place] of bad.entries()) (one.all[place] as Measurement).pseudorangeM += errorsM[i] as number;
        const { solution, excluded } = check(one, counts.length);
        if (excluded.join() === bad.join()) found++;
        else if (solution !== null && apartM(solution.position, ecefFromGeodetic(one.at)) > 30) wrong++;
      }
      expect(found / DRAWS).toBeGreaterThan(FOUND);
      expect(wrong / DRAWS).toBeLessThan(1 - FOUND);
    },
  );

  it('the estimated error differs from 50 m by what the estimate’s standard deviation says', () => {
    const random = stream('estimate');
    let [sum, square, count] = [0, 0, 0];
    for (let k = 0; k < DRAWS; k++) {
      const one = sky(random, [8, 6]);
      (one.all[3] as Measurement).pseudorangeM += 50;
      const { excluded, suspect } = check(one, 2);
      if (excluded.join() !== '3') continue;
      const off = (suspect!.biasM - 50) / suspect!.deviationM;
      sum += off;
      square += off * off;
      count++;
    }
    expect(count / DRAWS).toBeGreaterThan(FOUND);
    expect(Math.abs(sum / count)).toBeLessThan(SIGMAS / Math.sqrt(count));
    expect(Math.abs(square / count - 1)).toBeLessThan(SIGMAS * Math.sqrt(2 / count));
  });

  it('an error that grows is left out from some size on, and from there on always', () => {
    const one = sky(stream('growing'), [12]);
    let isOut = false;
    for (let errorM = 0; errorM <= 60; errorM++) {
      const all = one.all.map((measurement) => ({ ...measurement }));
      (all[5] as Measurement).pseudorangeM += errorM;
      const { excluded } = check({ all, at: one.at }, 1);
      if (isOut) expect(excluded).toEqual([5]);
      isOut = excluded.length > 0;
    }
    expect(isOut).toBe(true);
  });

  it.each([1e4, 1e6, 1e7, 1e8, 1e9, 1e12])(
    'off by about %d m, which no place on the Earth explains: left out, whether a place is known or not',
    (sizeM) => {
      const random = stream(`gross/${sizeM}`);
      const solver = new Solver();
      const draws = 100;
      for (const many of [1, 3]) {
        let found = 0;
        for (let k = 0; k < draws; k++) {
          const { all, at } = sky(random, [12, 8]);
          const bad = places(random, all.length, many);
          for (const place of bad) {
            const errorM = sizeM * (0.5 + random.uniform()) * Math.sign(random.normal());
            (all[place] as Measurement).pseudorangeM += errorM;
          }
          const guess = k % 2 === 0 ? ecefFromGeodetic(at) : null;
          const { solution, excluded, suspect } = solveChecked(solver, all, all.length, 2, guess, null);
          if (excluded.join() !== bad.join()) continue;
          found++;
          expect(apartM(solution!.position, ecefFromGeodetic(at))).toBeLessThan(100);
          expect(bad).toContain(suspect?.index);
          expect(Math.abs(suspect!.biasM)).toBeGreaterThan(0.4 * sizeM);
        }
        expect(found / draws).toBeGreaterThanOrEqual(FOUND);
      }
    },
  );

  it('two that contradict each other by more than the Earth is wide are both left out, if the others suffice', () => {
    const { all, at } = sky(stream('two'), [8, 2]);
    (all[9] as Measurement).pseudorangeM += 1e8;
    const { solution, excluded } = check({ all, at }, 2);
    expect(excluded).toEqual([8, 9]);
    expect(apartM(solution!.position, ecefFromGeodetic(at))).toBeLessThan(100);
  });

  it('without redundancy a range that no place on the Earth explains means no solution', () => {
    const { all, at } = sky(stream('four'), [4]);
    expect(check({ all, at }, 1).solution).not.toBe(null);
    (all[2] as Measurement).pseudorangeM += 1e7;
    expect(check({ all, at }, 1).solution).toBe(null);
  });

  it('half of the sky off: no solution rather than a wrong one', () => {
    const random = stream('half');
    let reported = 0;
    for (let k = 0; k < 200; k++) {
      const one = sky(random, [7, 7]);
      for (const place of places(random, 14, 7)) {
        const errorM = 200 * (random.uniform() - 0.5) + 400 * Math.sign(random.normal());
        (one.all[place] as Measurement).pseudorangeM += errorM;
      }
      const { solution, residualsM, excluded, suspect } = check(one, 2);
      if (solution !== null) reported++;
      else expect([residualsM, excluded, suspect]).toEqual([[], [], null]);
    }
    expect(reported).toBeLessThan(10);
  });
});

describe('the probability that an error goes unseen', () => {
  it('is the share of draws, with an error of that size in that satellite, that pass', () => {
    const random = stream('missed');
    const at = { latitudeDeg: 10, longitudeDeg: 20, heightM: 0 };
    const exact = measured(random, { at, counts: [9], clocksM: [0], lowestDeg: 10 });
    for (const one of exact) one.sigmaM = 3;
    for (const sigmas of [3, 5, 6, 8]) {
      const solver = new Solver();
      solver.solve(exact, 9, 1, ecefFromGeodetic(at), null);
      const errorM = (3 * sigmas) / Math.sqrt(solver.redundancyOf(4));
      const off = exact.map((one, i) => ({ ...one, pseudorangeM: one.pseudorangeM + (i === 4 ? errorM : 0) }));
      const told = check({ all: off, at }, 1).suspect!;
      expect(told.index).toBe(4);
      expect(Math.abs(told.biasM / errorM - 1)).toBeLessThan(1e-4);
      let passed = 0;
      for (let k = 0; k < DRAWS; k++) {
        const all = off.map((one) => ({ ...one }));
        disturb(all, random);
        if (check({ all, at }, 1).excluded.length === 0) passed++;
      }
      const scatter = SIGMAS * Math.sqrt(0.25 / DRAWS);
      expect(Math.abs(passed / DRAWS - told.missedProbability)).toBeLessThan(scatter);
    }
  });
});

describe('whatever is measured', () => {
  it('0 to 60 measurements, absurd ones among them: null or numbers, never anything else', () => {
    const random = stream('absurd-checked');
    const solver = new Solver();
    fc.assert(
      fc.property(
        fc.array(fc.nat({ max: 15 }), { minLength: 1, maxLength: 4 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.constantFrom(1e2, 1e5, 1e7, 1e9),
        fc.boolean(),
        (counts, share, sizeM, isKnown) => {
          const at = anywhere(random);
          const all = measured(random, { at, counts, clocksM: counts.map(() => 0) });
          for (const one of all) {
            if (random.uniform() < share) one.pseudorangeM += sizeM * (2 * random.uniform() - 1);
          }
          const guess = isKnown ? ecefFromGeodetic(at) : null;
          const found = solveChecked(solver, all, all.length, counts.length, guess, null);
          const { solution, residualsM, excluded, suspect } = found;
          for (const value of [...residualsM, ...excluded]) expect(Number.isFinite(value)).toBe(true);
          if (solution !== null) {
            expect(residualsM.length + excluded.length).toBe(all.length);
            expect(Number.isFinite(solution.geodetic.heightM + solution.hdop + solution.chiSquare)).toBe(true);
          }
          if (suspect !== null) {
            const { biasM, deviationM, missedProbability } = suspect;
            expect(Number.isFinite(biasM + deviationM)).toBe(true);
            expect(missedProbability >= 0 && missedProbability <= 1).toBe(true);
          }
        },
      ),
      { numRuns: 500 },
    );
  });
});
