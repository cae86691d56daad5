import { describe, expect, it } from 'vitest';
import type { StartKind } from '../../src/sim/epoch.js';
import type { SystemName } from '../../src/sim/sky/system.js';
import { firstWhere, median, simulator, type Wish } from '../sim/receiver/still.js';
import { firstFixByTimingS, type TimedSystem } from './first-fix.js';

const SEEDS = 200;
const LIMIT_S = 150;
/** Spread over the messages' frames, and over two hours of sky. */
const START_STEP_S = 37;
const FOUR: readonly TimedSystem[] = ['gps', 'glonass', 'galileo', 'beidou'];
/** Three subframes of 6 s (IS-GPS-200N, figure 20-1). */
const SHORTEST_GPS_S = 18;
/** A search from nothing takes up to so long in a strong signal (common practice: 1 to 3 s). */
const SEARCH_S = 3;
/** A subframe just missed costs so much; medians of 200 draws from a flat spread of 18 s lie within this. */
const MEDIAN_S = 2;

function timesToFix(systems: readonly SystemName[], start: StartKind, more: Wish = {}, seeds = SEEDS): number[] {
  return Array.from({ length: seeds }, (_, seed) => {
    const run = simulator({ seed, start, systems, startS: seed * START_STEP_S, ...more });
    const fix = firstWhere(run, ({ report }) => report.fix !== 'none', LIMIT_S);
    return (fix?.atMs ?? Infinity) / 1000;
  });
}

const GOOD: Wish = { receiver: { antenna: 'good' } };
const weaker = (byDb: number): Wish => ({
  receiver: { antenna: 'good' },
  hooks: {
    signals: (signals) => {
      for (const signal of signals) signal.cn0DbHz -= byDb;
    },
  },
});

describe(`time to first fix of the whole receiver in open sky, ${SEEDS} seeds and times of start`, () => {
  const coldGps = timesToFix(['gps'], 'cold');
  const coldFour = timesToFix(FOUR, 'cold');

  it('cold, GPS alone: median 25 to 35 s, never under 18 s (typical module: under 35 s)', () => {
    expect(median(coldGps)).toBeGreaterThanOrEqual(25);
    expect(median(coldGps)).toBeLessThanOrEqual(35);
    expect(Math.min(...coldGps)).toBeGreaterThanOrEqual(SHORTEST_GPS_S);
  });

  it('cold, four systems: median 15 to 26 s', () => {
    expect(median(coldFour)).toBeGreaterThanOrEqual(15);
    expect(median(coldFour)).toBeLessThanOrEqual(26);
  });

  it('warm: within 3 s of cold less the search', () => {
    const warm = median(timesToFix(['gps'], 'warm'));
    expect(Math.abs(median(coldGps) - warm)).toBeLessThanOrEqual(SEARCH_S);
  });

  it('hot: under 2 s, with one system and with four', () => {
    expect(Math.max(...timesToFix(['gps'], 'hot'))).toBeLessThan(2);
    expect(Math.max(...timesToFix(FOUR, 'hot', {}, 50))).toBeLessThan(2);
  });

  it('follows from the frames alone: medians as computed from what was published, with a search of up to 3 s', () => {
    for (const [systems, simulated] of [
      [['gps'] as const, coldGps],
      [FOUR, coldFour],
    ] as const) {
      const expected = Array.from({ length: SEEDS }, (_, seed) => {
        const { start: gps } = simulator({ systems, startS: seed * START_STEP_S });
        const run = simulator({ seed, start: 'hot', systems, startS: seed * START_STEP_S });
        const up = run.next().satellites.filter(({ elevationDeg }) => elevationDeg > 10);
        const readable = up.map(({ id }, i) => ({
          system: FOUR['GREC'.indexOf(id.charAt(0))] as TimedSystem,
          // Spread evenly over the time that a search takes.
          sinceS: 0.5 + (SEARCH_S * (i + 0.5)) / up.length,
        }));
        return Math.ceil(firstFixByTimingS(gps.towS, readable));
      });
      expect(Math.abs(median(expected) - median(simulated)), systems.join()).toBeLessThanOrEqual(MEDIAN_S);
    }
  });
});

describe('in weaker signals', () => {
  it('every kind of start takes longer, and below the acquisition threshold a cold start never succeeds', () => {
    const medians = (start: StartKind, byDb: number) => median(timesToFix(['gps'], start, weaker(byDb), 40));
    const strong = (start: StartKind) => median(timesToFix(['gps'], start, GOOD, 40));
    expect(medians('cold', 10)).toBeGreaterThan(strong('cold'));
    expect(medians('warm', 19)).toBeGreaterThan(strong('warm'));
    expect(medians('hot', 24)).toBeGreaterThan(strong('hot'));
    const never = timesToFix(['gps'], 'cold', weaker(25), 20);
    expect(Math.min(...never)).toBe(Infinity);
  });
});
