import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import geographiclib from 'geographiclib-geodesic';
import { describe, expect, it } from 'vitest';
import { RandomStreams } from '../../src/base/random.js';
import { distanceM } from '../../src/statistics/distance-m.js';
import { driftOf } from '../../src/statistics/drift-of.js';
import { horizontalScatter, scatterAboutReference } from '../../src/statistics/horizontal-scatter.js';
import { localOffset } from '../../src/statistics/local-offset.js';
import { verticalScatter } from '../../src/statistics/vertical-scatter.js';

const COUNT = 20_000;
/** Five standard errors: one figure in two million would be further off, and the seeds are fixed. */
const STANDARD_ERRORS = 5;

/**
 * Standard error of a quantile, in units of sigma: sqrt(p (1 - p) / n) / f(quantile), with the Rayleigh density
 * f(r) = r exp(-r^2 / 2) (textbook formula, from memory).
 */
function rayleighError(p: number): number {
  const r = Math.sqrt(-2 * Math.log(1 - p));
  return Math.sqrt((p * (1 - p)) / COUNT) / (r * (1 - p));
}

function deviates(seed: number, sigmaEastM: number, sigmaNorthM: number): { eastM: number; northM: number }[] {
  const streams = new RandomStreams(seed);
  const east = streams.stream('east');
  const north = streams.stream('north');
  return Array.from({ length: COUNT }, () => ({
    eastM: sigmaEastM * east.normal(),
    northM: sigmaNorthM * north.normal(),
  }));
}

function shareWithin(points: readonly { eastM: number; northM: number }[], radiusM: number): number {
  return points.filter(({ eastM, northM }) => Math.hypot(eastM, northM) <= radiusM).length / points.length;
}

describe('the circular normal distribution (Rayleigh quantiles sigma sqrt(-2 ln(1 - p)))', () => {
  it.each([1, 2, 3])(
    'seed %d: CEP 1.1774 sigma, R95 2.4477 sigma, 2DRMS 2.8284 sigma, within sampling error',
    (seed) => {
      const sigmaM = 2.5;
      const found = horizontalScatter(deviates(seed, sigmaM, sigmaM));
      expect(Math.abs(found.cepM / sigmaM - 1.1774)).toBeLessThan(STANDARD_ERRORS * rayleighError(0.5));
      expect(Math.abs(found.r95M / sigmaM - 2.4477)).toBeLessThan(STANDARD_ERRORS * rayleighError(0.95));
      // The relative standard error of a standard deviation of 2n values is 1 / sqrt(4n).
      expect(Math.abs(found.twoDrmsM / (2 * Math.SQRT2 * sigmaM) - 1)).toBeLessThan(
        STANDARD_ERRORS / Math.sqrt(4 * COUNT),
      );
    },
  );
});

describe('National Research Council, "The Global Positioning System: A Shared National Asset" (1995), appendix D', () => {
  /** Standard error of a share of about 0.95 to 0.98. */
  const SHARE_ERROR = Math.sqrt((0.955 * 0.045) / COUNT);
  const points = deviates(4, 2, 2);
  const sigmaEastM = verticalScatter(points.map(({ eastM }) => eastM)).sigmaM;
  const sigmaNorthM = verticalScatter(points.map(({ northM }) => northM)).sigmaM;

  it('2 drms is 2 sqrt(sigmaN^2 + sigmaE^2) and 2.4 CEP of a circular normal distribution', () => {
    const { twoDrmsM, cepM } = horizontalScatter(points);
    expect(Math.abs(twoDrmsM / (2 * Math.hypot(sigmaEastM, sigmaNorthM)) - 1)).toBeLessThan(1e-12);
    expect(Math.abs(twoDrmsM / cepM - 2.4)).toBeLessThan(0.05);
  });

  it.each([
    ['a circle', 1, 0.982],
    ['an ellipse of 10 to 1', 0.1, 0.955],
  ])('2 drms holds 95.5 to 98.2 %% of positions: %s', (_, ratio, share) => {
    const cloud = deviates(5, 2, 2 * ratio);
    const held = shareWithin(cloud, scatterAboutReference(cloud).twoDrmsM);
    expect(Math.abs(held - share)).toBeLessThan(STANDARD_ERRORS * SHARE_ERROR);
  });

  it('CEP is 0.589 (sigmaN + sigmaE) where they are alike', () => {
    const { cepM } = horizontalScatter(points);
    const off = cepM / (0.589 * (sigmaEastM + sigmaNorthM)) - 1;
    expect(Math.abs(off)).toBeLessThan((STANDARD_ERRORS * rayleighError(0.5)) / 1.1774);
  });
});

const PYTHON = ['/usr/bin/python3', 'python3'].find(
  (path) => spawnSync(path, ['-c', 'from statistics import linear_regression']).status === 0,
);
/** Both compute in double precision, in another order. */
const RELATIVE = 1e-9;

const SCRIPT = `
import json, math, statistics, sys
from fractions import Fraction
points = json.load(sys.stdin)
e = [p["eastM"] for p in points]; n = [p["northM"] for p in points]; t = [p["tS"] for p in points]
me, mn = statistics.fmean(e), statistics.fmean(n)
d = sorted(math.dist((x, y), (me, mn)) for x, y in zip(e, n))
# the smallest value whose share at or below reaches the percentage, by exact fractions
def within(sorted_values, percent):
    for i, value in enumerate(sorted_values):
        if Fraction(i + 1, len(sorted_values)) >= Fraction(percent, 100): return value
line = statistics.linear_regression(t, e)
print(json.dumps({
  "meanEastM": me, "meanNorthM": mn, "heightSigmaM": statistics.pstdev(e),
  "cepM": within(d, 50), "r95M": within(d, 95), "drmsM": math.sqrt(statistics.fmean(x * x for x in d)),
  "slope": line.slope,
  "heightR95M": within(sorted(abs(x - me) for x in e), 95), "heightR95AboutZeroM": within(sorted(map(abs, e)), 95),
}))
`;

describe("Python's own statistics module", () => {
  it.skipIf(PYTHON === undefined).each([7, 100, 1999])(
    'gives the same mean, deviations, CEP, R95, DRMS and drift of %d points (needs python3 3.10)',
    (count) => {
      const points = deviates(count, 3, 1.5)
        .slice(0, count)
        .map(({ eastM, northM }, tS) => ({ tS, eastM: eastM + 12 + 0.01 * tS, northM: northM - 7 }));
      const run = spawnSync(PYTHON as string, ['-c', SCRIPT], { input: JSON.stringify(points), encoding: 'utf8' });
      const theirs = JSON.parse(run.stdout) as Record<string, number>;
      const drift = driftOf(points);
      const height = verticalScatter(points.map(({ eastM }) => eastM));
      const ours: Record<string, number> = {
        ...horizontalScatter(points),
        slope: drift?.eastMps as number,
        heightSigmaM: height.sigmaM,
        heightR95M: height.r95M,
        heightR95AboutZeroM: height.r95AboutZeroM,
      };
      for (const [key, value] of Object.entries(theirs)) {
        expect(Math.abs((ours[key] as number) / value - 1), key).toBeLessThan(RELATIVE);
      }
    },
  );
});

/** What positions of a receiver need, and ten times better than is promised. */
const TENTH_MM = 1e-4;
const TABLE = new URL('../../../shared/data/tables/geodtest-100.dat', import.meta.url).pathname;
const { Geodesic } = geographiclib;

describe('geodesic distances', () => {
  it.skipIf(!existsSync(TABLE))(
    'Karney, Test set for geodesics (2010), geodtest-100.dat (skipped without shared data): distance and azimuth',
    () => {
      const rows = readFileSync(TABLE, 'utf8').trim().split('\n');
      expect(rows).toHaveLength(100);
      for (const row of rows) {
        const [lat1, lon1, azi1, lat2, lon2, , s12] = row.trim().split(/\s+/).map(Number) as number[];
        const from = { latitudeDeg: lat1!, longitudeDeg: lon1!, heightM: 0 };
        const to = { latitudeDeg: lat2!, longitudeDeg: lon2!, heightM: 0 };
        expect(Math.abs(distanceM(from, to) - s12!), row).toBeLessThan(TENTH_MM);
        const { eastM, northM } = localOffset(from, to);
        // Nearly antipodal and polar rows have uncertain azimuths.
        if (s12! > 19_900_000 || Math.abs(lat1!) > 89.9) continue;
        const azimuthDeg = (Math.atan2(eastM, northM) * 180) / Math.PI;
        expect(Math.abs(azimuthDeg - azi1!), row).toBeLessThan(1e-6);
      }
    },
  );

  it('geographiclib: near places, whose distance is not taken from it, to 0.1 mm in length and across', () => {
    for (const latitudeDeg of [-89.99, -60, -33.9, 0, 0.5, 47, 63.4, 89.999]) {
      for (const azimuthDeg of [0, 37, 90, 141, 180, 225, 270, 359]) {
        for (const lengthM of [0.01, 1, 100, 5000, 9999]) {
          const end = Geodesic.WGS84.Direct(latitudeDeg, 179.9999, azimuthDeg, lengthM);
          const to = { latitudeDeg: end.lat2!, longitudeDeg: end.lon2!, heightM: 0 };
          const offset = localOffset({ latitudeDeg, longitudeDeg: 179.9999, heightM: 0 }, to);
          const azimuthRad = (azimuthDeg * Math.PI) / 180;
          const say = `${latitudeDeg} deg, ${azimuthDeg} deg, ${lengthM} m`;
          expect(Math.abs(offset.eastM - lengthM * Math.sin(azimuthRad)), say).toBeLessThan(TENTH_MM);
          expect(Math.abs(offset.northM - lengthM * Math.cos(azimuthRad)), say).toBeLessThan(TENTH_MM);
          expect(Math.abs(distanceM({ latitudeDeg, longitudeDeg: 179.9999 }, to) - lengthM), say).toBeLessThan(
            TENTH_MM,
          );
        }
      }
    }
  });
});
