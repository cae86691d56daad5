import { describe, expect, it } from 'vitest';
import { RandomStreams } from '../../src/base/random.js';
import { addSeconds } from '../../src/base/time.js';
import type { MessageListener } from '../../src/sim/receiver/message/plan.js';
import { TrackedSatellite } from '../../src/sim/receiver/tracked-satellite.js';
import type { ArrivingSignal } from '../../src/sim/signal/arriving-signal.js';
import { signalsOf } from '../../src/sim/signal/signal-kind.js';
import { satelliteId } from '../../src/sim/sky/system.js';
import { firstFixByTimingS, type ReadableSatellite, type TimedSystem } from './first-fix.js';

const WEEK = 2197;
const STARTS = 400;
/** Satellites above 5 deg of an open sky, of which a module tracks about so many. */
const GPS_ALONE: Readonly<Partial<Record<TimedSystem, number>>> = { gps: 9 };
const FOUR_SYSTEMS: Readonly<Partial<Record<TimedSystem, number>>> = { gps: 9, glonass: 7, galileo: 8, beidou: 8 };
/** Longest search from nothing in a strong signal, and bit synchronisation, s (common practice). */
const SEARCH_S = 3;
const SYNC_S = 0.5;
const EPOCH_S = 1;

/** Starts spread over ten minutes, away from changes of the data sets (2 h, 1 h, 30 min, 10 min). */
function startsTowS(): number[] {
  const random = new RandomStreams(2).stream('starts');
  return Array.from({ length: STARTS }, () => 100_800 + Math.floor(random.uniform() * 400) + random.uniform());
}

function skyOf(counts: typeof GPS_ALONE): TimedSystem[] {
  return Object.entries(counts).flatMap(([system, count]) => Array<TimedSystem>(count).fill(system as TimedSystem));
}

/** By the published frames, with a search of every satellite that is uniform in its range. */
function expected(counts: typeof GPS_ALONE, searchS: number): number[] {
  const random = new RandomStreams(3).stream('search');
  return startsTowS()
    .map((towS) => {
      const sky = skyOf(counts).map(
        (system): ReadableSatellite => ({ system, sinceS: random.uniform() * searchS + SYNC_S }),
      );
      return Math.ceil(firstFixByTimingS(towS, sky) / EPOCH_S) * EPOCH_S;
    })
    .sort((a, b) => a - b);
}

/** The same by the program's search, lock and message, every satellite at 45 dB-Hz. */
function simulated(counts: typeof GPS_ALONE): number[] {
  return startsTowS()
    .map((towS, seed) => firstFixOfChannelsS(counts, towS, seed))
    .sort((a, b) => a - b);
}

function firstFixOfChannelsS(counts: typeof GPS_ALONE, towS: number, seed: number): number {
  const streams = new RandomStreams(seed);
  let isTimeKnown = false;
  const none = () => undefined;
  const view = { rangeM: 0.075 * 299_792_458 } as ArrivingSignal['view'];
  const sky = skyOf(counts).map((system, number) => {
    const id = satelliteId(system, number + 1);
    const kinds = signalsOf(system, ['L1']);
    const satellite = new TrackedSatellite({ id, system, number: number + 1, orbitClass: 'meo' }, kinds, streams);
    const listener: MessageListener = {
      timeOfWeek: () => {
        isTimeKnown = true;
      },
      date: none,
      ephemeris: () => satellite.learnEphemeris(0),
      leapSeconds: none,
      almanac: none,
      corrections: none,
    };
    satellite.listener = listener;
    return { system, satellite, signals: [{ id, kind: kinds[0], view, cn0DbHz: 45 } as ArrivingSignal] };
  });
  for (let tS = 0; tS < 120; tS += EPOCH_S) {
    const gps = addSeconds({ week: WEEK, towS }, tS);
    for (const { satellite, signals } of sky) satellite.live(tS, gps, signals, 0, 1, 'none', 99);
    const known = sky.filter(({ satellite }) => satellite.orbit(tS) === 'ephemeris');
    const systems = new Set(known.map(({ system }) => system));
    if (isTimeKnown && known.length >= 3 + systems.size) return tS;
  }
  return Infinity;
}

const quantile = (sorted: readonly number[], q: number) => sorted[Math.floor(q * (sorted.length - 1))] as number;

describe('first fix of a cold start, by the published timing of the messages (IS-GPS-200N; ICDs of the others)', () => {
  it('GPS alone: never below 18 s, median 25 to 35 s', () => {
    const all = expected(GPS_ALONE, SEARCH_S);
    expect(all[0]).toBeGreaterThan(18);
    expect(quantile(all, 0.5)).toBeGreaterThan(25);
    expect(quantile(all, 0.5)).toBeLessThan(35);
    expect(all.at(-1)).toBeLessThan(36 + SEARCH_S + SYNC_S + EPOCH_S + 0.1);
  });

  it('GPS alone without search: a fifth of the phases of the frame each wait 18 to 24 and 24 to 30 s', () => {
    const waits = Array.from({ length: 3000 }, (_, i) =>
      firstFixByTimingS(
        100_800 + i / 100,
        skyOf(GPS_ALONE).map((system) => ({ system, sinceS: 0 })),
      ),
    );
    const share = (fromS: number, toS: number) => waits.filter((s) => s >= fromS && s < toS).length / waits.length;
    const ONE_STEP = 2 / 3000;
    expect(Math.abs(share(18, 24) - 0.2)).toBeLessThan(ONE_STEP);
    expect(Math.abs(share(24, 30) - 0.2)).toBeLessThan(ONE_STEP);
    expect(Math.abs(share(30, 36.001) - 0.6)).toBeLessThan(ONE_STEP);
  });

  it('four systems: median 15 to 26 s, given three satellites and one a system', () => {
    const all = expected(FOUR_SYSTEMS, SEARCH_S);
    expect(quantile(all, 0.5)).toBeGreaterThan(15);
    expect(quantile(all, 0.5)).toBeLessThan(26);
    // GLONASS alone, the fastest: four strings of 2 s.
    expect(all[0]).toBeGreaterThan(8);
  });

  it.each([
    ['GPS alone', GPS_ALONE],
    ['four systems', FOUR_SYSTEMS],
  ] as const)(
    '%s: search, lock and message of the program give the distribution that the frames let expect',
    (_, counts) => {
      const got = simulated(counts);
      // Between a search of no time and the longest: the program's lies between.
      const soonest = expected(counts, 0);
      const latest = expected(counts, SEARCH_S);
      for (const q of [0.02, 0.1, 0.25, 0.5, 0.75, 0.9, 0.98]) {
        expect(quantile(got, q), `quantile ${q}`).toBeGreaterThanOrEqual(quantile(soonest, q));
        expect(quantile(got, q), `quantile ${q}`).toBeLessThanOrEqual(quantile(latest, q) + EPOCH_S);
      }
    },
  );
});
