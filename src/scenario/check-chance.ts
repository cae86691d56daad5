import type { ValuePath, YamlDocument } from './document.js';
import { mistake, report, shown, valueAt } from './explain.js';

/**
 * Occurrences of a chance do not overlap: each has an end, and all of them take less than the whole time.
 * @param forS how long each is, s; Infinity: to the end
 * @param at the entry in the document
 * @throws LodestubError `scenario.required`, `scenario.range`
 */
export function checkChance(forS: number, ratePerS: number, at: ValuePath, document: YamlDocument): void {
  if (forS === Infinity) {
    const summary = 'the key for is missing';
    const expected = 'beside chance how long each time lasts, such as for: 3 s';
    throw report(document, [mistake(document, [...at, 'for'], { kind: 'required', summary, expected })]);
  }
  if (ratePerS * forS < 1) return;
  const expected = 'a rate that times the length is below 1, so that no time overlaps the next';
  const received = `${shown(valueAt(document.value, [...at, 'chance']))} times ${Number(forS.toPrecision(6))} s`;
  const hint = 'Lower the rate, or shorten for; a fault that is always there needs no chance.';
  throw report(document, [mistake(document, [...at, 'chance'], { kind: 'range', expected, received, hint })]);
}
