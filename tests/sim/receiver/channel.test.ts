import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { RandomStreams } from '../../../src/base/random.js';
import { Channel } from '../../../src/sim/receiver/channel.js';
import type { Aiding } from '../../../src/sim/receiver/thresholds.js';
import { SIGNAL_KINDS, type SignalKind } from '../../../src/sim/signal/signal-kind.js';

/** Common practice, from memory: unaided search finds nothing below 33 dB-Hz, aided below 20; track is held to 17. */
const UNAIDED_DBHZ = 33;
const AIDED_DBHZ = 20;
const TRACK_DBHZ = 17;
const DECODE_DBHZ = 27;
const SEEDS = 300;
/** From lock to bits of 20 ms, s. */
const SYNC_S = 0.5;

function kindOf(system: string, name: string): SignalKind {
  return SIGNAL_KINDS.find((kind) => kind.system === system && kind.name === name) as SignalKind;
}

const L1 = kindOf('gps', 'L1');

function channel(seed = 1, kind = L1, decodeDbHz = DECODE_DBHZ): Channel {
  return new Channel(new RandomStreams(seed).stream('channel'), kind, decodeDbHz);
}

/** How long the search takes, s; Infinity: not within the limit. */
function searchS(seed: number, cn0DbHz: number, aiding: Aiding, kind = L1, limitS = 120): number {
  const one = channel(seed, kind);
  for (let tS = 0; tS <= limitS; tS++) {
    if (one.step(tS, cn0DbHz, aiding, true) === 'tracking') return one.lockedAtS as number;
  }
  return Infinity;
}

function searches(cn0DbHz: number, aiding: Aiding, kind = L1): number[] {
  return Array.from({ length: SEEDS }, (_, seed) => searchS(seed, cn0DbHz, aiding, kind)).sort((a, b) => a - b);
}

const middle = (sorted: readonly number[]) => sorted[Math.floor(sorted.length / 2)] as number;
const last = (sorted: readonly number[]) => sorted.at(-1) as number;

describe('how long a search takes', () => {
  it('of a strong signal: seconds from nothing, below one with an almanac, some tenths where all is known', () => {
    expect(middle(searches(45, 'none'))).toBeGreaterThan(0.5);
    expect(last(searches(45, 'none'))).toBeLessThan(3);
    expect(last(searches(45, 'almanac'))).toBeLessThan(1);
    expect(last(searches(45, 'precise'))).toBeLessThan(0.2);
    expect(last(searches(45, 'handed-over'))).toBeLessThan(0.2);
  });

  it('grows as the signal gets weaker, whatever is known', () => {
    for (const aiding of ['none', 'almanac', 'precise', 'handed-over'] as const) {
      const levels = aiding === 'none' ? [45, 38, 35] : [45, 36, 30, 25, 22];
      const times = levels.map((level) => middle(searches(level, aiding)));
      for (let i = 1; i < times.length; i++)
        expect(times[i], `${aiding} ${levels[i]}`).toBeGreaterThan(times[i - 1] as number);
    }
  });

  it('is longer for a longer code, and no longer where its place is known', () => {
    const galileo = kindOf('galileo', 'E1');
    expect(middle(searches(45, 'none', galileo))).toBeGreaterThan(1.5 * middle(searches(45, 'none')));
    expect(middle(searches(45, 'precise', galileo))).toBeLessThan(0.2);
  });

  it('a signal is never found below its threshold, and always well above it, every kind', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...SIGNAL_KINDS),
        fc.nat(),
        fc.double({ min: 0, max: 40, noNaN: true }),
        (kind, seed, dB) => {
          expect(searchS(seed, UNAIDED_DBHZ - dB, 'none', kind)).toBe(Infinity);
          for (const aiding of ['almanac', 'precise', 'handed-over'] as const) {
            expect(searchS(seed, AIDED_DBHZ - dB, aiding, kind)).toBe(Infinity);
            expect(searchS(seed, 25 + dB, aiding, kind)).toBeLessThan(120);
          }
          expect(searchS(seed, 37 + dB, 'none', kind)).toBeLessThan(120);
        },
      ),
      { numRuns: 30 },
    );
  });

  it('does not search without a free channel, and is not busy after a pass in vain', () => {
    const one = channel();
    for (let tS = 0; tS < 60; tS++) expect(one.step(tS, 45, 'none', false)).toBe('searching');
    expect(one.isBusy).toBe(false);
    const weak = channel();
    expect(weak.step(0, 30, 'none', true)).toBe('searching');
    expect(weak.isBusy).toBe(true);
    weak.step(10, 30, 'none', true);
    expect(weak.isBusy).toBe(false);
    weak.step(11, -Infinity, 'none', true);
    expect(weak.isBusy).toBe(false);
  });
});

describe('lock', () => {
  const locked = (tS = 5) => {
    const one = channel();
    for (let t = 0; t <= tS; t++) one.step(t, 45, 'precise', true);
    return one;
  };

  it('bits are read, and the range used, once their edges are known', () => {
    const one = channel();
    one.step(0, 45, 'precise', true);
    expect(one.step(0.2, 45, 'precise', true)).toBe('tracking');
    const at = one.lockedAtS as number;
    expect(at).toBeLessThan(0.2);
    expect(one.decodableSinceS).toBe(at + SYNC_S);
    expect(one.isSynchronised(at + SYNC_S - 0.01)).toBe(false);
    expect(one.isSynchronised(at + SYNC_S + 0.01)).toBe(true);
  });

  it('is held down to 17 dB-Hz and lost below; bits only from the demodulation threshold on', () => {
    const one = locked();
    expect(one.step(6, TRACK_DBHZ, 'precise', true)).toBe('tracking');
    expect(one.decodableSinceS).toBeNull();
    expect(one.step(7, DECODE_DBHZ, 'precise', true)).toBe('tracking');
    // The last weak epoch: from there on at the soonest.
    expect(one.decodableSinceS).toBe(6);
    expect(one.step(8, TRACK_DBHZ - 0.01, 'precise', true)).toBe('hidden');
    expect(one.lockedAtS).toBeNull();
    expect(one.isSynchronised(8)).toBe(false);
  });

  it('is found again within a second in the next minute, whatever is known, and searched anew later', () => {
    for (const awayS of [1, 20, 58]) {
      const one = locked();
      one.step(6, -Infinity, 'none', true);
      one.step(6 + awayS, 45, 'none', true);
      expect(one.step(7 + awayS, 45, 'none', true)).toBe('tracking');
      expect((one.lockedAtS as number) - 6 - awayS).toBeLessThan(0.2);
    }
    const found = Array.from({ length: 100 }, (_, seed) => {
      const one = channel(seed);
      one.step(0, 45, 'precise', true);
      one.step(1, 45, 'precise', true);
      one.step(2, -Infinity, 'none', true);
      one.step(70, 45, 'none', true);
      return one.step(70.3, 45, 'none', true) === 'tracking';
    });
    expect(found.filter(Boolean).length).toBeLessThan(50);
  });

  it('a signal that hovers about 18 to 21 dB-Hz drops out for seconds, and comes back', () => {
    const stream = new RandomStreams(4).stream('hover');
    const dropouts: number[] = [];
    for (let seed = 0; seed < 20; seed++) {
      const one = channel(seed);
      for (let tS = 0; tS < 5; tS++) one.step(tS, 40, 'precise', true);
      let lostS = 0;
      for (let tS = 5; tS < 600; tS++) {
        if (one.step(tS, 20 + 1.5 * stream.normal(), 'precise', true) === 'tracking') {
          if (lostS > 0) dropouts.push(lostS);
          lostS = 0;
        } else lostS++;
      }
    }
    dropouts.sort((a, b) => a - b);
    expect(dropouts.length).toBeGreaterThan(20);
    // An open log shows dropouts of 2 to 18 s near the threshold.
    expect(middle(dropouts)).toBeGreaterThanOrEqual(2);
    expect(middle(dropouts)).toBeLessThanOrEqual(18);
  });

  it('a jump breaks it: the lock is fresh afterwards', () => {
    const one = locked();
    const before = one.lockedAtS as number;
    one.lose(6);
    expect(one.lockedAtS).toBeNull();
    expect(one.decodableSinceS).toBeNull();
    one.step(7, 45, 'none', true);
    one.step(8, 45, 'none', true);
    expect(one.lockedAtS as number).toBeGreaterThan(before + 1);
    const idle = channel();
    idle.lose(0);
    expect(idle.step(0, -Infinity, 'none', true)).toBe('hidden');
  });

  it('after a power cut nothing is known of a moment ago', () => {
    const one = locked();
    one.reset();
    expect(one.lockedAtS).toBeNull();
    one.step(6, 30, 'none', true);
    for (let tS = 7; tS < 30; tS++) expect(one.step(tS, 30, 'none', true)).toBe('searching');
  });
});
