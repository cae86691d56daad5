import type { Scenario } from '../scenario/scenario.js';

/** Faults started by hand act after those of the timeline. */
export const BY_HAND_RANK = 1_000_000;

const NAME = /^live-(\d{1,9})$/;

/** What the n-th that is started by hand is called, from 1. */
export function nameByHand(count: number): string {
  return `live-${count}`;
}

/** How many of these names the timeline has taken: it may repeat another run. */
export function countByHand(timeline: Scenario['timeline']): number {
  return Math.max(0, ...timeline.map(({ name }) => Number(NAME.exec(name)?.[1] ?? 0)));
}
