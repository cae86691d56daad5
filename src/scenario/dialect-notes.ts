import type { YamlDocument } from './document.js';
import type { Mistake } from './explain.js';

/** Where mistakes in a dialect's file are noted. */
export interface Notes {
  readonly document: YamlDocument;
  readonly mistakes: Mistake[];
}

/** Milliseconds of a duration in s, without the dust of the multiplication. */
export function milliseconds(durationS: number): number {
  return Number((durationS * 1000).toPrecision(12));
}
