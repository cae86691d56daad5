import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic } from '../../../src/base/frames.js';
import { RandomStreams, type Stream } from '../../../src/base/random.js';
import type { CheckedSolution } from '../../../src/sim/receiver/exclusion.js';
import { solveChecked } from '../../../src/sim/receiver/integrity.js';
import type { Measurement } from '../../../src/sim/receiver/measurement.js';
import type { Solution } from '../../../src/sim/receiver/solution.js';
import { Solver } from '../../../src/sim/receiver/solver.js';
import type { SystemName } from '../../../src/sim/sky/system.js';
import { inverse, normalOf } from '../../authorities/dop.js';
import { between, dense, rowsOf, skyAt } from './skies.js';

const AT = { latitudeDeg: 52.4, longitudeDeg: 9.7, heightM: 80 };
const PLACE = ecefFromGeodetic(AT);
/** With the probability 1e-5 twenty thousand draws give 0.2 false alarms: more than three once in 17,000 runs. */
const FALSE_ALARM = 1e-5;
const DRAWS = 20_000;
const MOST_FALSE_ALARMS = 3;
/** Of a share p of n draws: five standard deviations. */
const SIGMAS = 5;
/** The same measurements solved once more: rounding. */
const SAME_M = 1e-6;

interface Sky {
  readonly all: Measurement[];
  readonly columns: number;
}

function skyOf(systems: readonly SystemName[], tS: number, maskDeg = 5): Sky {
  return dense(skyAt({ at: AT, tS, systems, maskDeg, clocksM: systems.map((_, i) => 120 * i - 200) }));
}

/** Some satellites of a sky, drawn. */
function someOf(sky: Sky, count: number, stream: Stream): Sky {
  const keyed = sky.all.map((one) => ({ one, key: stream.uniform() })).sort((a, b) => a.key - b.key);
  return dense(keyed.slice(0, count).map(({ one }) => one));
}

/** Normal errors, `scale` of the standard deviations, and biases on top, m. */
function measured({ all }: Sky, stream: Stream, biasesM: readonly number[] = [], scale = 1): Measurement[] {
  return all.map((one, i) => ({
    ...one,
    pseudorangeM: one.pseudorangeM + scale * one.sigmaM * stream.normal() + (biasesM[i] ?? 0),
  }));
}

function check(solver: Solver, all: readonly Measurement[], columns: number): CheckedSolution {
  return solveChecked(solver, all, all.length, columns, PLACE, null);
}

/** Standard deviation of an error's estimate from all measurements: sigma over the root of the redundancy. */
function deviationsOf({ all, columns }: Sky): number[] {
  const rows = rowsOf(all, AT, columns);
  const weights = all.map(({ sigmaM }) => 1 / (sigmaM * sigmaM));
  const q = inverse(normalOf(rows, weights));
  return all.map(({ sigmaM }, i) => sigmaM / Math.sqrt(1 - weights[i]! * between(rows[i]!, q, rows[i]!)));
}

/** Upper tail of chi-square with an even number of degrees: a sum of Poisson probabilities. */
function evenTail(x: number, dof: number): number {
  let term = Math.exp(-x / 2);
  let sum = 0;
  for (let k = 0; k < dof / 2; k++) {
    sum += term;
    term *= x / 2 / (k + 1);
  }
  return sum;
}

/** The value with the tail, by bisection. */
function evenLimit(tail: number, dof: number): number {
  let [low, high] = [0, 200];
  for (let pass = 0; pass < 100; pass++) {
    const middle = (low + high) / 2;
    if (evenTail(middle, dof) > tail) low = middle;
    else high = middle;
  }
  return high;
}

describe('without a fault', () => {
  const sky = skyOf(['gps', 'galileo'], 3600);

  it('20,000 draws of normal errors raise no more alarms than a probability of 1e-5 gives', () => {
    const solver = new Solver();
    const stream = new RandomStreams(1).stream('noise');
    let alarms = 0;
    for (let draw = 0; draw < DRAWS; draw++) {
      const found = check(solver, measured(sky, stream), sky.columns);
      if (found.solution === null || found.excluded.length > 0) alarms++;
    }
    expect(alarms).toBeLessThanOrEqual(MOST_FALSE_ALARMS);
  });

  it('errors 1.7 times as large raise as many as chi-square beyond the limit of 1e-5 gives', () => {
    const solver = new Solver();
    const stream = new RandomStreams(2).stream('noise');
    // An even redundancy, of which the tail is a finite sum.
    const count = sky.all.length - ((sky.all.length - sky.columns - 3) % 2);
    const even = dense(sky.all.slice(0, count));
    const dof = even.all.length - even.columns - 3;
    expect(dof % 2).toBe(0);
    const scale = 1.7;
    const draws = 4000;
    let alarms = 0;
    for (let draw = 0; draw < draws; draw++) {
      const found = check(solver, measured(even, stream, [], scale), even.columns);
      if (found.solution === null || found.excluded.length > 0) alarms++;
    }
    const share = evenTail(evenLimit(FALSE_ALARM, dof) / (scale * scale), dof);
    expect(share).toBeGreaterThan(0.02);
    expect(Math.abs(alarms / draws - share)).toBeLessThan(SIGMAS * Math.sqrt((share * (1 - share)) / draws));
  });

  it('it is the solver’s own solution with its residuals, and the suspect the largest over its deviation', () => {
    const solver = new Solver();
    const stream = new RandomStreams(3).stream('noise');
    const deviations = deviationsOf(sky);
    for (let draw = 0; draw < 50; draw++) {
      const all = measured(sky, stream);
      const { solution, residualsM, excluded, suspect } = check(solver, all, sky.columns);
      expect(solution).toEqual(new Solver().solve(all, all.length, sky.columns, PLACE, null));
      expect(excluded).toEqual([]);
      expect(residualsM.length).toBe(all.length);
      const shares = residualsM.map((residualM, i) => Math.abs(residualM) * deviations[i]! * all[i]!.sigmaM ** -2);
      expect(suspect?.index).toBe(shares.indexOf(Math.max(...shares)));
      expect(suspect?.missedProbability).toBeGreaterThan(0.2);
    }
  });
});

describe('one error of 50 m in ten satellites', () => {
  it('is found and taken out in nearly all cases, and the rest is solved as if it had never been', () => {
    const solver = new Solver();
    const other = new Solver();
    const stream = new RandomStreams(4).stream('faults');
    const draws = 2000;
    let found = 0;
    let normalised = 0;
    for (let draw = 0; draw < draws; draw++) {
      const sky = someOf(skyOf(['gps', 'galileo'], 400 * draw), 10, stream);
      const bad = draw % sky.all.length;
      const sign = stream.uniform() < 0.5 ? -1 : 1;
      const biasesM = sky.all.map((_, i) => (i === bad ? 50 * sign : 0));
      const all = measured(sky, stream, biasesM);
      const { solution, residualsM, excluded, suspect } = check(solver, all, sky.columns);
      if (solution === null || !excluded.includes(bad)) continue;
      found++;
      const rest = dense(all.filter((_, i) => !excluded.includes(i)));
      expect(residualsM.length).toBe(rest.all.length);
      const without = other.solve(rest.all, rest.all.length, rest.columns, PLACE, null) as Solution;
      const { position } = without;
      expect(
        Math.hypot(
          position.xM - solution.position.xM,
          position.yM - solution.position.yM,
          position.zM - solution.position.zM,
        ),
      ).toBeLessThan(SAME_M);
      expect(solution.clockBiasesM.length).toBe(rest.columns);
      if (suspect?.index !== bad) continue;
      normalised += ((suspect.biasM - biasesM[bad]!) / suspect.deviationM) ** 2;
    }
    // Some geometries of ten tell little of one of them.
    expect(found / draws).toBeGreaterThan(0.95);
    expect(Math.abs(normalised / found - 1)).toBeLessThan(BIAS_SPREAD);
  });

  it('the suspect is the one, with the error as it is, and would not have been missed', () => {
    const solver = new Solver();
    const stream = new RandomStreams(5).stream('faults');
    const sky = skyOf(['gps', 'galileo'], 3600);
    const deviations = deviationsOf(sky);
    for (let bad = 0; bad < sky.all.length; bad++) {
      const biasesM = sky.all.map((_, i) => (i === bad ? 150 : 0));
      const { excluded, suspect } = check(solver, measured(sky, stream, biasesM), sky.columns);
      expect(excluded).toEqual([bad]);
      expect(suspect?.index).toBe(bad);
      expect(Math.abs(suspect!.deviationM / deviations[bad]! - 1)).toBeLessThan(LINEAR);
      expect(Math.abs(suspect!.biasM - 150)).toBeLessThan(SIGMAS * suspect!.deviationM);
      expect(suspect!.missedProbability).toBeLessThan(1e-3);
    }
  });

  it.each([1e3, 1e5, 1e6])('of %d m as well', (biasM) => {
    const solver = new Solver();
    const stream = new RandomStreams(6).stream('faults');
    const sky = skyOf(['gps', 'galileo'], 3600);
    for (let bad = 0; bad < sky.all.length; bad++) {
      const biasesM = sky.all.map((_, i) => (i === bad ? biasM : 0));
      expect(check(solver, measured(sky, stream, biasesM), sky.columns).excluded).toEqual([bad]);
    }
  });
});

/** Mean of 1900 squared normals: five of its standard deviations, and the pull of skies that show it little. */
const BIAS_SPREAD = 5 * Math.sqrt(2 / 1900) + 0.05;
/** A direction from where an error of 150 m has put the place. */
const LINEAR = 1e-3;

describe('more errors than one', () => {
  it('two bad of twelve, of two systems, are both found, and no other, in nearly all cases', () => {
    const solver = new Solver();
    const stream = new RandomStreams(7).stream('faults');
    const draws = 1000;
    let both = 0;
    let exactly = 0;
    for (let draw = 0; draw < draws; draw++) {
      const sky = someOf(skyOf(['gps', 'galileo'], 500 * draw), 12, stream);
      const biasesM = sky.all.map((_, i) => (i === 2 ? 100 : i === 7 ? -70 : 0));
      const { excluded } = check(solver, measured(sky, stream, biasesM), sky.columns);
      if (excluded.includes(2) && excluded.includes(7)) both++;
      if (excluded.length === 2) exactly++;
    }
    expect(both / draws).toBeGreaterThan(0.95);
    expect(exactly / draws).toBeGreaterThan(0.95);
  });

  it('two errors and no noise: any two of a sky are named, whatever they make of the others', () => {
    const solver = new Solver();
    const sky = someOf(skyOf(['gps', 'galileo'], 3600), 12, new RandomStreams(13).stream('sky'));
    const { all, columns } = sky;
    for (const secondM of [-150, 150]) {
      for (let j = 0; j < all.length; j++) {
        for (let i = 0; i < j; i++) {
          const spoilt = all.map((one, k) => {
            const biasM = k === i ? 200 : k === j ? secondM : 0;
            return { ...one, pseudorangeM: one.pseudorangeM + biasM };
          });
          expect(check(solver, spoilt, columns).excluded).toEqual([i, j]);
        }
      }
    }
  });

  it('three of fifteen: all of them in nearly all cases, and a good one that looked bad for a while is let in', () => {
    const solver = new Solver();
    const { all, columns } = skyOf(['gps', 'galileo'], 3600);
    const sizesM = [200, -150, 170];
    let triples = 0;
    let exactly = 0;
    let more = 0;
    for (let k = 0; k < all.length; k++) {
      for (let j = 0; j < all.length; j++) {
        for (let i = 0; i < j; i++) {
          if (k === i || k === j) continue;
          const bad = [i, j, k];
          const spoilt = all.map((one, at) => {
            return { ...one, pseudorangeM: one.pseudorangeM + (bad.includes(at) ? sizesM[bad.indexOf(at)]! : 0) };
          });
          const { excluded } = check(solver, spoilt, columns);
          triples++;
          if (!bad.every((at) => excluded.includes(at))) continue;
          if (excluded.length === 3) exactly++;
          else more++;
        }
      }
    }
    expect(all.length).toBe(15);
    expect(exactly / triples).toBeGreaterThan(0.97);
    expect(more).toBe(0);
  });

  it('what stays contradictory is no solution: every measurement wrong by kilometres of its own', () => {
    const solver = new Solver();
    const stream = new RandomStreams(8).stream('faults');
    const sky = skyOf(['gps', 'galileo', 'beidou'], 3600);
    for (let draw = 0; draw < 50; draw++) {
      const biasesM = sky.all.map(() => 3000 * stream.normal());
      const found = check(solver, measured(sky, stream, biasesM), sky.columns);
      expect(found).toEqual({ solution: null, residualsM: [], excluded: [], suspect: null });
    }
  });

  it('an error that nothing is left to check: five satellites of one system, no solution', () => {
    const solver = new Solver();
    const stream = new RandomStreams(9).stream('faults');
    const sky = someOf(skyOf(['gps'], 3600), 5, stream);
    const found = check(solver, measured(sky, stream, [500]), sky.columns);
    expect(found.solution).toBeNull();
    // Without redundancy there is nothing to check, and nobody to suspect.
    const four = { all: sky.all.slice(0, 4), columns: 1 };
    const blind = check(solver, measured(four, stream, [500]), 1);
    expect(blind.solution).not.toBeNull();
    expect([blind.suspect, blind.excluded.length]).toEqual([null, 0]);
  });
});

describe('clock columns', () => {
  it('are dense after a system has gone: one that is left with a single satellite is dropped with the bad one', () => {
    const solver = new Solver();
    const stream = new RandomStreams(10).stream('faults');
    const gps = skyOf(['gps'], 3600).all;
    const galileo = skyOf(['galileo'], 3600).all.map((one) => ({ ...one, column: 1 }));
    const beidou = skyOf(['beidou'], 3600).all.map((one) => ({ ...one, column: 2 }));
    // Between the others, so that the last column moves.
    const all = [...gps.slice(0, 4), galileo[0]!, ...beidou, galileo[1]!, ...gps.slice(4)];
    const [first, second] = [4, 5 + beidou.length];
    const pair = { all, columns: 3 };
    const noisy = measured(
      pair,
      stream,
      all.map((_, i) => (i === second ? 400 : 0)),
    );
    const { solution, excluded, residualsM, suspect } = check(solver, noisy, 3);
    expect(excluded).toEqual([first, second]);
    expect(solution?.clockBiasesM.length).toBe(2);
    expect(residualsM.length).toBe(all.length - 2);
    // Two of a system accuse each other alike: which of them it was cannot be told.
    expect([first, second]).toContain(suspect?.index);
    const rest = dense(noisy.filter((_, i) => i !== first && i !== second));
    const alone = new Solver().solve(rest.all, rest.all.length, 2, PLACE, null) as Solution;
    for (const c of [0, 1]) expect(Math.abs(alone.clockBiasesM[c]! - solution!.clockBiasesM[c]!)).toBeLessThan(SAME_M);
    // The caller's own measurements are as they were.
    expect(noisy.map(({ column }) => column)).toEqual(all.map(({ column }) => column));
  });

  it('places of those taken out count in the order given, whatever it is', () => {
    const solver = new Solver();
    const stream = new RandomStreams(11).stream('faults');
    const sky = skyOf(['gps', 'glonass', 'galileo', 'beidou'], 3600);
    const all = measured(
      sky,
      stream,
      sky.all.map((_, i) => (i === 3 ? 150 : i === 12 ? -90 : 0)),
    );
    expect(check(solver, all, sky.columns).excluded).toEqual([3, 12]);
    const turned = [...all].reverse().map((one) => ({ ...one, column: sky.columns - 1 - one.column }));
    const last = all.length - 1;
    expect(check(solver, turned, sky.columns).excluded).toEqual([last - 12, last - 3]);
  });
});

describe('held height', () => {
  it('is checked alike: an error of 200 m is taken out', () => {
    const solver = new Solver();
    const stream = new RandomStreams(12).stream('faults');
    const sky = skyOf(['gps'], 3600);
    const all = measured(sky, stream, [0, 200]);
    const { solution, excluded } = solveChecked(solver, all, all.length, 1, PLACE, AT.heightM);
    expect(excluded).toEqual([1]);
    expect(solution?.sigma.upM).toBeNull();
  });

  it('and no idea of the place: three satellites give it, unchecked', () => {
    const sky = skyOf(['gps'], 3600);
    const { solution, suspect } = solveChecked(new Solver(), sky.all.slice(0, 3), 3, 1, null, AT.heightM);
    expect(solution).not.toBeNull();
    expect(suspect).toBeNull();
  });
});

describe('numbers that are none', () => {
  it.each([Number.NaN, Infinity, 1e300])('a pseudorange of %d: nothing, rather than a wrong place', (pseudorangeM) => {
    const sky = skyOf(['gps', 'galileo'], 3600);
    const all = sky.all.map((one, i) => (i === 1 ? { ...one, pseudorangeM } : one));
    expect(check(new Solver(), all, sky.columns).solution).toBeNull();
  });

  it('too few', () => {
    const sky = skyOf(['gps'], 3600);
    expect(solveChecked(new Solver(), sky.all, 3, 1, PLACE, null).solution).toBeNull();
    expect(solveChecked(new Solver(), sky.all, 0, 1, null, 0).solution).toBeNull();
  });
});
