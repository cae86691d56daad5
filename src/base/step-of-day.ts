import { DAY_MS } from './utc-ms.js';

/** From one time of day to another, ms, the shorter way round midnight; second 60 counts. */
export function stepOfDayMs(from: number, to: number): number {
  const dayMs = from >= DAY_MS ? DAY_MS + 1000 : DAY_MS;
  const step = to - from;
  if (step < -dayMs / 2) return step + dayMs;
  return step >= dayMs / 2 ? step - dayMs : step;
}

/** The later of two times of day, by the shorter way round midnight. */
export function laterOfDay(one: number | null, other: number): number {
  return one === null || stepOfDayMs(one, other) > 0 ? other : one;
}
