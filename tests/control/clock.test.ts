import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { RealClock } from '../../src/run/clock.js';

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['performance', 'setTimeout', 'clearTimeout'] });
});
afterEach(() => {
  vi.useRealTimers();
});

/** Rounding of sums of times, ms. */
const ROUNDING_MS = 1e-6;

it('stands at 0 until it is started', () => {
  const clock = new RealClock(2);
  vi.advanceTimersByTime(500);
  expect([clock.nowMs(), clock.isStarted]).toEqual([0, false]);
  clock.start();
  vi.advanceTimersByTime(500);
  expect(Math.abs(clock.nowMs() - 1000)).toBeLessThan(ROUNDING_MS);
});

it('never jumps and never goes back: by pause, resume, another pace', () => {
  const clock = new RealClock(1);
  clock.start();
  let lastMs = 0;
  const acts = [
    () => clock.pause(),
    () => clock.setPace(50),
    () => clock.resume(),
    () => clock.setPace(0.5),
    () => clock.pause(),
    () => clock.pause(),
    () => clock.goOnUntil(clock.nowMs() + 3),
    () => clock.goOnUntil(0),
    () => clock.resume(),
  ];
  for (const act of acts) {
    vi.advanceTimersByTime(40);
    const beforeMs = clock.nowMs();
    expect(beforeMs).toBeGreaterThanOrEqual(lastMs);
    act();
    expect(Math.abs(clock.nowMs() - beforeMs)).toBeLessThan(ROUNDING_MS);
    lastMs = beforeMs;
  }
});

it('counts only the time in which it runs, each at its pace', () => {
  const clock = new RealClock(1);
  clock.start();
  vi.advanceTimersByTime(100);
  clock.pause();
  expect(clock.isPaused).toBe(true);
  vi.advanceTimersByTime(10_000);
  clock.setPace(10);
  clock.resume();
  vi.advanceTimersByTime(20);
  expect(Math.abs(clock.nowMs() - 300)).toBeLessThan(ROUNDING_MS);
});

it('stands still at its limit, and not a millisecond later', () => {
  const clock = new RealClock(50);
  clock.start();
  clock.goOnUntil(999);
  vi.advanceTimersByTime(19);
  expect(clock.isPaused).toBe(false);
  vi.advanceTimersByTime(1000);
  expect([clock.nowMs(), clock.isPaused]).toEqual([999, true]);
});

it('wakes whoever waits as soon as time goes on another way', async () => {
  const clock = new RealClock(1);
  clock.start();
  clock.pause();
  let isAwake = false;
  const waiting = clock.wait(5).then(() => {
    isAwake = true;
  });
  await vi.advanceTimersByTimeAsync(50);
  expect(isAwake).toBe(false);
  clock.resume();
  await waiting;
  expect(isAwake).toBe(true);
});
