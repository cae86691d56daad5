import { describe, expect, it } from 'vitest';
import type { Epoch, Report } from '../../../src/sim/epoch.js';
import type { EpochHooks } from '../../../src/sim/simulator.js';
import { OPEN_SKY, type Surroundings } from '../../../src/sim/surroundings.js';
import { epochs, firstWhere, isTracked, only, simulator, trackedMost } from './still.js';

/** Common practice: unaided search from 33 dB-Hz, aided from 20, track down to 17, decode down to 27. */
const UNAIDED_DBHZ = 33;
const AIDED_DBHZ = 20;
const TRACK_DBHZ = 17;
const DECODE_DBHZ = 27;

const TUNNEL: Surroundings = { kind: 'tunnel' };

/** Every signal at the same C/N0. */
function level(cn0DbHz: (atMs: number) => number): EpochHooks {
  return {
    signals: (signals, atMs) => {
      for (const signal of signals) signal.cn0DbHz = cn0DbHz(atMs);
    },
  };
}

function states({ satellites }: Epoch): string[] {
  return satellites.map(({ state }) => state);
}

describe('signals too weak', () => {
  it('below the threshold of the unaided search nothing is ever acquired; well above it everything is', () => {
    expect(trackedMost(epochs(simulator({ start: 'cold', hooks: level(() => UNAIDED_DBHZ - 0.1) }), 600))).toBe(0);
    const strong = epochs(simulator({ start: 'cold', hooks: level(() => UNAIDED_DBHZ + 5) }), 10);
    expect(states(strong.at(-1) as Epoch).every(isTracked)).toBe(true);
  });

  it.each(['warm', 'hot'] as const)('a %s start searches deeper, but below 20 dB-Hz finds nothing either', (start) => {
    expect(trackedMost(epochs(simulator({ start, hooks: level(() => AIDED_DBHZ - 0.1) }), 600))).toBe(0);
    expect(trackedMost(epochs(simulator({ start, hooks: level(() => AIDED_DBHZ + 6) }), 20))).toBeGreaterThan(5);
  });

  it('what is tracked is held down to 17 dB-Hz, and lost below', () => {
    const fallen = (to: number) => level((atMs) => (atMs < 60_000 ? 45 : to));
    const held = epochs(simulator({ hooks: fallen(TRACK_DBHZ + 0.1) }), 120).at(-1) as Epoch;
    expect(states(held).every(isTracked)).toBe(true);
    expect(held.report.fix).toBe('3d');
    const lost = epochs(simulator({ hooks: fallen(TRACK_DBHZ - 0.1) }), 62).at(-1) as Epoch;
    expect(states(lost).every((state) => state === 'hidden')).toBe(true);
    expect(lost.report.fix).toBe('none');
  });

  it('between track and demodulation a warm start tracks for ever and never fixes: no message can be read', () => {
    const run = epochs(simulator({ start: 'warm', hooks: level(() => DECODE_DBHZ - 0.5) }), 300);
    expect(trackedMost(run)).toBeGreaterThan(5);
    expect(run.every(({ report }) => report.fix === 'none')).toBe(true);
    const readable = simulator({ start: 'warm', hooks: level(() => DECODE_DBHZ + 0.5) });
    expect(firstWhere(readable, ({ report }) => report.fix === '3d', 60)).not.toBeNull();
  });

  it('a message broken by a fade every 5 s is never read, though satellites are tracked', () => {
    const fading = level((atMs) => ((atMs / 1000) % 5 === 0 ? DECODE_DBHZ - 2 : 40));
    const run = epochs(simulator({ start: 'cold', hooks: fading }), 200);
    expect(trackedMost(run)).toBeGreaterThan(5);
    expect(run.every(({ report }) => !report.timeKnown)).toBe(true);
  });
});

describe('few satellites', () => {
  it('three do not hold a height that bad geometry gave before', () => {
    const run = simulator({ hooks: only((atMs) => (atMs < 30_000 ? 4 : 3)) });
    const poor = epochs(run, 30).at(-1) as Epoch;
    expect(poor.report.vdop).toBeGreaterThan(20);
    const { report, truth } = run.next();
    // What was known at the start: the antenna has not moved. A tenth of a metre is the geoid under a 2D error.
    expect(report.fix).toBe('2d');
    expect(Math.abs((report.altitudeMslM as number) - truth.altitudeMslM)).toBeLessThan(0.1);
  });

  it.each([
    [21.76, -123.87, ['G27', 'G10', 'G09']],
    [-36.48, 58.99, ['G05', 'G07', 'G17']],
    [60.37, -154.38, ['G15', 'G20', 'G32']],
  ])(
    'three found from nothing at %d, %d give the right one of the two places that fit',
    (latitudeDeg, longitudeDeg, ids) => {
      const hooks: EpochHooks = {
        signals: (all) => {
          for (const signal of all) if (!ids.includes(signal.id)) signal.cn0DbHz = -Infinity;
        },
      };
      const run = simulator({
        start: 'cold',
        startS: 5 * 60,
        at: { latitudeDeg, longitudeDeg, altitudeMslM: 0 },
        hooks,
      });
      const first = firstWhere(run, ({ report }) => report.fix === '2d', 90) as Epoch;
      // The height is taken as 0 on the ellipsoid: tens of metres of it come out as some hundred on the ground.
      expect(Math.abs((first.report.latitudeDeg as number) - latitudeDeg)).toBeLessThan(0.01);
      expect(Math.abs((first.report.longitudeDeg as number) - longitudeDeg)).toBeLessThan(0.02);
    },
  );

  it('three give a position with the height last known, and the horizontal dilution only', () => {
    const three = only(() => 3);
    const late: EpochHooks['signals'] = (all, atMs, antenna) => {
      if (atMs >= 30_000) three.signals?.(all, atMs, antenna);
    };
    const run = simulator({ hooks: { signals: late } });
    const full = epochs(run, 30).at(-1) as Epoch;
    expect(full.report.fix).toBe('3d');
    expect(full.report.vdop).toBeLessThan(3);
    for (const { report, truth } of epochs(run, 120)) {
      expect(report).toMatchObject({ fix: '2d', status: 'A', vdop: null, pdop: null });
      expect(report.used.length).toBe(3);
      expect(report.hdop).toBeGreaterThan(0.5);
      const ellipsoidM = (report.altitudeMslM as number) + (report.geoidSeparationM as number);
      const heldM = (full.report.altitudeMslM as number) + (full.report.geoidSeparationM as number);
      expect(Math.abs(ellipsoidM - heldM)).toBeLessThan(1e-6);
      expect(Math.abs((report.latitudeDeg as number) - truth.latitudeDeg)).toBeLessThan(0.001);
    }
  });

  it('two give none: the report is void, and satellites are still shown', () => {
    const run = simulator({ hooks: only((atMs) => (atMs < 10_000 ? 99 : 2)) });
    epochs(run, 11);
    for (const { report, satellites } of epochs(run, 60)) {
      expect(report).toMatchObject({ fix: 'none', status: 'V', quality: 0, mode: 'N', hdop: null, latitudeDeg: null });
      expect(report.used).toEqual([]);
      expect(report.timeKnown).toBe(true);
      expect(report.inView.filter(({ cn0DbHz }) => cn0DbHz !== null).length).toBe(2);
      expect(report.inView.length).toBe(satellites.length);
    }
  });

  it('four after three are a full position again', () => {
    const run = simulator({ hooks: only((atMs) => (atMs < 10_000 || atMs >= 20_000 ? 4 : 3)) });
    const fixes = epochs(run, 30).map(({ report }) => report.fix);
    expect(fixes.slice(2, 10)).toEqual(Array(8).fill('3d'));
    expect(fixes.slice(10, 20)).toEqual(Array(10).fill('2d'));
    expect(fixes.slice(21)).toEqual(Array(9).fill('3d'));
  });
});

describe('loss and reacquisition', () => {
  it.each([1, 5, 30, 55])('after %i s of tunnel the fix is back within 1 s of its end', (lengthS) => {
    const endMs = 60_000 + lengthS * 1000;
    for (let seed = 0; seed < 10; seed++) {
      const surroundings = (atMs: number) => (atMs >= 60_000 && atMs < endMs ? TUNNEL : OPEN_SKY);
      const run = epochs(simulator({ seed, start: 'hot', hooks: { surroundings } }), endMs / 1000 + 5);
      const fixed = run.map(({ report }) => report.fix !== 'none');
      expect(fixed.slice(2, 60).every(Boolean)).toBe(true);
      expect(fixed.slice(60, endMs / 1000).some(Boolean)).toBe(false);
      expect(fixed.slice(endMs / 1000 + 1).every(Boolean)).toBe(true);
      const inside = run[endMs / 1000 - 1] as Epoch;
      expect(inside.satellites.every(({ state, signals }) => state === 'hidden' && signals.L1?.cn0DbHz === null)).toBe(
        true,
      );
      expect(inside.report.inView.length).toBe(inside.satellites.length);
      expect(inside.report.inView.every(({ cn0DbHz }) => cn0DbHz === null)).toBe(true);
    }
  });

  it('after a power cut a hot start is back at once, a warm and a cold one after reading messages again', () => {
    const timeToFixS = (start: 'cold' | 'warm' | 'hot') => {
      const run = simulator();
      epochs(run, 60);
      run.receiver.powerOff();
      for (const { report, satellites } of epochs(run, 20)) {
        expect(report).toMatchObject({ fix: 'none', timeKnown: false, utc: null, inView: [], used: [] });
        expect(satellites.every(({ state }) => state === 'hidden')).toBe(true);
      }
      run.receiver.powerOn(start);
      const fix = firstWhere(run, ({ report }) => report.fix === '3d', 120) as Epoch;
      return fix.atMs / 1000 - 80;
    };
    expect(timeToFixS('hot')).toBeLessThanOrEqual(1);
    expect(timeToFixS('warm')).toBeGreaterThanOrEqual(18);
    expect(timeToFixS('cold')).toBeGreaterThanOrEqual(18);
  });

  it.each([
    [3, true],
    [90, false],
  ])('lost for %i s without knowing its orbit, a satellite is found again at 26 dB-Hz: %s', (lengthS, isFound) => {
    // Bits are not yet read: only that it was tracked a moment ago can help the search.
    const returnMs = 5000 + lengthS * 1000;
    const hooks = level((atMs) => (atMs < 5000 ? 45 : atMs < returnMs ? -Infinity : DECODE_DBHZ - 1));
    const run = epochs(simulator({ start: 'cold', hooks }), returnMs / 1000 + 30);
    expect(trackedMost(run.slice(0, 5))).toBeGreaterThan(5);
    expect(trackedMost(run.slice(5, returnMs / 1000))).toBe(0);
    expect(trackedMost(run.slice(returnMs / 1000)) > 5).toBe(isFound);
  });

  it('a cold start in mid-run forgets time and place', () => {
    const run = simulator();
    epochs(run, 60);
    run.receiver.powerOff();
    run.receiver.powerOn('cold');
    expect(run.next().report).toMatchObject({ timeKnown: false, dateKnown: false, inView: [] });
  });
});

describe('which satellites are used', () => {
  const used = (all: readonly Epoch[]) => new Set(all.flatMap(({ report }) => report.used));

  it.each([0, 15, 40])(
    'none below an elevation mask of %i deg, though they are tracked and shown',
    (elevationMaskDeg) => {
      const run = epochs(simulator({ receiver: { elevationMaskDeg, antenna: 'good' } }), 1800);
      let low = 0;
      for (const { report, satellites } of run.slice(2)) {
        for (const { id, elevationDeg, state } of satellites) {
          if (report.used.includes(id)) expect(elevationDeg).toBeGreaterThanOrEqual(elevationMaskDeg);
          expect(state === 'used').toBe(report.used.includes(id));
          if (elevationDeg < elevationMaskDeg && state === 'tracking') low++;
        }
      }
      if (elevationMaskDeg > 0) expect(low).toBeGreaterThan(100);
    },
  );

  it('an unhealthy satellite is tracked and shown, and never used', () => {
    const healthy = epochs(simulator(), 60);
    const chosen = [...used(healthy)][0] as string;
    const run = epochs(
      simulator({
        satellites: (all) => all.map((s) => (s.id === chosen ? { ...s, statusAt: () => 'unhealthy' as const } : s)),
      }),
      600,
    );
    expect(used(run).has(chosen)).toBe(false);
    const shown = run.at(-1)?.report.inView.find(({ id }) => id === chosen);
    expect(shown?.cn0DbHz).not.toBeNull();
    expect(run.at(-1)?.satellites.find(({ id }) => id === chosen)?.state).toBe('tracking');
  });

  it('a satellite out of service is nowhere', () => {
    const chosen = [...used(epochs(simulator(), 60))][0] as string;
    const run = epochs(simulator({ satellites: (all) => all.filter(({ id }) => id !== chosen) }), 60);
    for (const { report, satellites } of run) {
      const all = [...report.used, ...report.inView.map(({ id }) => id), ...satellites.map(({ id }) => id)];
      expect(all).not.toContain(chosen);
    }
    expect((run.at(-1) as Epoch).report.fix).toBe('3d');
  });

  it.each([1, 3, 4, 6])('with %i channels no more satellites are searched and tracked at a time', (channels) => {
    const run = epochs(simulator({ start: 'cold', receiver: { channels, elevationMaskDeg: 0, antenna: 'good' } }), 240);
    for (const { report, satellites } of run) {
      expect(satellites.filter(({ state }) => isTracked(state)).length).toBeLessThanOrEqual(channels);
      expect(report.used.length).toBeLessThanOrEqual(channels);
    }
    expect(trackedMost(run)).toBe(channels);
    const fix = { 1: 'none', 3: '2d', 4: '3d', 6: '3d' }[channels];
    expect(run.at(-1)?.report.fix).toBe(fix);
  });

  it('lists them in ascending order, each once', () => {
    for (const { report, satellites } of epochs(simulator(), 300)) {
      for (const ids of [report.used, report.inView.map(({ id }) => id), satellites.map(({ id }) => id)]) {
        expect(ids).toEqual([...new Set(ids)].sort());
      }
    }
  });

  it('over six hours satellites rise and set: whoever rises is used once its message has been read', () => {
    const run = simulator({ epochMs: 10_000 });
    const first = new Set(run.next().satellites.map(({ id }) => id));
    const since = new Map<string, number>();
    let risen = 0;
    for (const { atMs, satellites, report } of epochs(run, 2160)) {
      expect(report.fix).toBe('3d');
      for (const { id, elevationDeg, state } of satellites) {
        if (first.has(id) || elevationDeg < 15) continue;
        if (!since.has(id)) since.set(id, atMs);
        if (atMs - (since.get(id) as number) < 60_000) continue;
        expect(state, `${id} at ${elevationDeg} deg`).toBe('used');
        risen++;
      }
    }
    expect(risen).toBeGreaterThan(1000);
  });
});

describe('flags and hooks', () => {
  it('honest flags say simulator', () => {
    const { report } = epochs(simulator({ receiver: { simulatorFlags: true } }), 3).at(-1) as Epoch;
    expect(report).toMatchObject({ quality: 8, mode: 'S', status: 'A' });
  });

  it('a report hook has the last word, and the receiver does not learn of it', () => {
    const hooks = {
      report: (report: Report, atMs: number): Report => (atMs === 5000 ? { ...report, hdop: 42 } : report),
    };
    const seen = epochs(simulator({ hooks }), 8);
    const plain = epochs(simulator(), 8);
    expect(seen[5]?.report.hdop).toBe(42);
    expect(seen[6]).toEqual(plain[6]);
  });
});
