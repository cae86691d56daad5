import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TimeMap } from '../../src/trial/time-map.js';

describe('a map of times', () => {
  it('at a steady pace: real time is simulated time over the pace', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 1000, noNaN: true }),
        fc.array(fc.double({ min: 0.001, max: 5000, noNaN: true }), { minLength: 1, maxLength: 40 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (pace, steps, share) => {
          const map = new TimeMap();
          let atMs = 0;
          for (const step of steps) {
            atMs += step;
            map.note(atMs, atMs / pace);
          }
          const askedMs = share * atMs;
          expect(Math.abs(map.realMsOf(askedMs) - askedMs / pace)).toBeLessThanOrEqual(1e-9 * (1 + atMs / pace));
        },
      ),
    );
  });

  it('that is noted a hundred thousand times with a little noise, and with waits, stays right to a millisecond', () => {
    const map = new TimeMap();
    const truth: [simulatedMs: number, realMs: number][] = [];
    let [simulatedMs, realMs] = [0, 0];
    for (let i = 0; i < 100_000; i++) {
      simulatedMs += 7;
      realMs += 7 / (i < 50_000 ? 1 : 20);
      if (i % 1000 === 999) {
        map.note(simulatedMs, realMs);
        realMs += 250;
      }
      const noisyMs = realMs + ((i * 7919) % 100) / 2500;
      map.note(simulatedMs, noisyMs);
      if (i % 97 === 0) truth.push([simulatedMs, realMs]);
    }
    for (const [at, expected] of truth) expect(Math.abs(map.realMsOf(at) - expected)).toBeLessThan(1);
  });

  it('simulated time that stands lets real time go on: what comes next begins after the wait', () => {
    const map = new TimeMap();
    map.note(1000, 20);
    map.note(1000, 520);
    map.note(2000, 540);
    expect(map.realMsOf(1000)).toBe(520);
    expect(map.realMsOf(1500)).toBe(530);
    expect(map.realMsOf(9000)).toBe(540);
  });
});
