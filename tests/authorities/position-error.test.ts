import { describe, expect, it } from 'vitest';
import type { Epoch, PositionDeviation } from '../../src/sim/epoch.js';
import type { Solution } from '../../src/sim/receiver/solution.js';
import type { Band } from '../../src/sim/signal/signal-kind.js';
import type { EpochHooks } from '../../src/sim/simulator.js';
import type { SystemName } from '../../src/sim/sky/system.js';
import { type PublishedRange, publishedRange } from '../sim/receiver/published-errors.js';
import { epochs, errorOf, normalisedSquare, START, simulator, type Wish } from '../sim/receiver/still.js';

/** Independent draws: each has its own seed, time and place. */
const DRAWS = 1000;
/** Sampling: so many standard deviations of what is estimated. Of 50 figures one is farther off in 3000 runs. */
const SIGMAS = 4.5;
/** From one start to the next: they go over days, at all hours. */
const STEP_S = 613;
/** Two bands: both are synchronised. */
const EPOCHS = 3;
const FOUR: readonly SystemName[] = ['gps', 'glonass', 'galileo', 'beidou'];

/**
 * Percentage points of chi-square, by degrees of freedom: 50, 90 and 99 % lie below. Source: M. Abramowitz,
 * I. A. Stegun, Handbook of Mathematical Functions (1964), table 26.8.
 */
const TABLE: Readonly<Record<2 | 3, ReadonlyArray<readonly [share: number, point: number]>>> = {
  2: [
    [0.5, 1.38629],
    [0.9, 4.60517],
    [0.99, 9.21034],
  ],
  3: [
    [0.5, 2.36597],
    [0.9, 6.25139],
    [0.99, 11.3449],
  ],
};

/** Densities of chi-square (same source, 26.4.1): how sharp a quantile is. */
const DENSITY: Readonly<Record<2 | 3, (x: number) => number>> = {
  2: (x) => Math.exp(-x / 2) / 2,
  3: (x) => Math.sqrt(x / (2 * Math.PI)) * Math.exp(-x / 2),
};

/** One first position, and what the receiver says of it. */
interface Draw {
  /** Error over covariance: chi-square with 2 degrees from the report's ellipse, with 3 from the solution. */
  readonly flat: number;
  readonly spatial: number;
  /** Weighted squares of residuals, and how many there are beyond the unknowns. */
  readonly residual: number;
  readonly redundancy: number;
  readonly epoch: Epoch;
  readonly ranges: readonly PublishedRange[];
}

function draw(i: number, systems: readonly SystemName[], bands: readonly Band[]): Draw {
  const at: Wish['at'] = {
    // Evenly over the sphere but for its caps.
    latitudeDeg: (Math.asin(((i * 0.618) % 1) * 1.9 - 0.95) * 180) / Math.PI,
    longitudeDeg: ((i * 137.5) % 360) - 180,
    altitudeMslM: (i * 7) % 900,
  };
  const startS = i * STEP_S;
  let ranges: PublishedRange[] = [];
  const hooks: EpochHooks = {
    isWatched: false,
    signals: (signals, atMs, antenna) => {
      if (systems.length > 1 || bands.length > 1) return;
      ranges = signals.map((signal) => publishedRange(signal, antenna, START.towS + startS + atMs / 1000));
    },
  };
  const run = simulator({ seed: 5000 + i, startS, at, systems, receiver: { bands }, hooks });
  const epoch = epochs(run, EPOCHS).at(-1) as Epoch;
  return drawn(epoch, run.receiver.solution, ranges);
}

function drawn(epoch: Epoch, solution: Solution | null, ranges: readonly PublishedRange[]): Draw {
  if (solution === null || epoch.report.fix !== '3d') throw new Error(`no position at ${JSON.stringify(epoch.truth)}`);
  const { chiSquare, redundancy } = solution;
  const flat = inEllipse(errorOf(epoch), epoch.report.deviation as PositionDeviation);
  return { flat, spatial: normalisedSquare(epoch, solution), residual: chiSquare, redundancy, epoch, ranges };
}

/** Along the axes of the error ellipse that GST tells of, each over its own length. */
function inEllipse(
  { eastM, northM }: { readonly eastM: number; readonly northM: number },
  { majorM, minorM, orientationDeg }: PositionDeviation,
): number {
  const axisRad = (orientationDeg * Math.PI) / 180;
  const alongM = eastM * Math.sin(axisRad) + northM * Math.cos(axisRad);
  const acrossM = eastM * Math.cos(axisRad) - northM * Math.sin(axisRad);
  return (alongM / majorM) ** 2 + (acrossM / minorM) ** 2;
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Mean, variance and three quantiles of chi-square, each within what so many draws scatter. */
function expectChiSquare(values: readonly number[], degrees: 2 | 3): void {
  const n = values.length;
  expect(Math.abs(mean(values) - degrees)).toBeLessThan(SIGMAS * Math.sqrt((2 * degrees) / n));
  // Fourth central moment 12 k (k + 4), variance 2 k.
  const variance = mean(values.map((value) => (value - degrees) ** 2));
  const scatter = Math.sqrt((12 * degrees * (degrees + 4) - 4 * degrees * degrees) / n);
  expect(Math.abs(variance - 2 * degrees)).toBeLessThan(SIGMAS * scatter);
  const sorted = [...values].sort((a, b) => a - b);
  for (const [share, point] of TABLE[degrees]) {
    const found = sorted[Math.floor(share * n)] as number;
    const tolerance = (SIGMAS * Math.sqrt((share * (1 - share)) / n)) / DENSITY[degrees](point);
    expect(Math.abs(found - point), `${share * 100} %`).toBeLessThan(tolerance);
  }
}

const KNOWN = new Map<string, readonly Draw[]>();

function drawsOf(systems: readonly SystemName[], bands: readonly Band[], count: number): readonly Draw[] {
  const name = [...systems, ...bands].join();
  const draws = KNOWN.get(name) ?? Array.from({ length: count }, (_, i) => draw(i, systems, bands));
  KNOWN.set(name, draws);
  return draws;
}

describe.each<readonly [name: string, draws: number, systems: readonly SystemName[], bands: readonly Band[]]>([
  ['GPS, one band', DRAWS, ['gps'], ['L1']],
  ['GPS, two bands', DRAWS, ['gps'], ['L1', 'L5']],
  ['four systems, one band', DRAWS, FOUR, ['L1']],
  ['four systems, two bands', DRAWS, FOUR, ['L1', 'L5']],
])('%s: position of the whole receiver, %i seeds, times and places', (_, count, systems, bands) => {
  const draws = drawsOf(systems, bands, count);

  it('on the ground, over the reported ellipse: chi-square with 2 degrees (Abramowitz and Stegun, table 26.8)', () => {
    expectChiSquare(
      draws.map(({ flat }) => flat),
      2,
    );
  });

  it('in space, over the solution’s covariance: chi-square with 3 degrees (Abramowitz and Stegun, table 26.8)', () => {
    expectChiSquare(
      draws.map(({ spatial }) => spatial),
      3,
    );
  });

  it('residuals over the sigmas set: chi-square with as many degrees as there are ranges beyond unknowns', () => {
    let [over, variance, spare] = [0, 0, 0];
    for (const { residual, redundancy, epoch } of draws) {
      const used = epoch.report.used.map((id) => id.charAt(0));
      expect(redundancy).toBe(used.length - 3 - new Set(used).size);
      expect(epoch.report.residualsM.length).toBe(used.length);
      over += residual - redundancy;
      variance += 2 * redundancy;
      spare += redundancy;
    }
    expect(spare).toBeGreaterThan(2 * count);
    expect(Math.abs(over)).toBeLessThan(SIGMAS * Math.sqrt(variance));
    // Each one's variance is 2 k: their squares, over it, are 1 in the mean, and scatter by sqrt(2 + 12 / k).
    const ratio = draws
      .filter(({ redundancy }) => redundancy > 0)
      .map(({ residual, redundancy: k }) => ({ k, square: (residual - k) ** 2 / (2 * k) }));
    const scatter = Math.sqrt(ratio.reduce((sum, { k }) => sum + 2 + 12 / k, 0)) / ratio.length;
    expect(Math.abs(mean(ratio.map(({ square }) => square)) - 1)).toBeLessThan(SIGMAS * scatter);
  });
});

describe('GPS with one band: residuals against what was published', () => {
  it('over range errors of IS-GPS-200N, RTCA DO-229 and broadcast less precise orbits they are chi-square too', () => {
    let [over, variance] = [0, 0];
    for (const { epoch, ranges, redundancy } of drawsOf(['gps'], ['L1'], DRAWS)) {
      const { used, residualsM } = epoch.report;
      used.forEach((id, i) => {
        const { varianceM2 } = ranges.find((range) => range.id === id) as PublishedRange;
        over += (residualsM[i] as number) ** 2 / varianceM2;
      });
      over -= redundancy;
      variance += 2 * redundancy;
    }
    expect(Math.abs(over)).toBeLessThan(SIGMAS * Math.sqrt(variance));
  });
});
