import { SENTENCE_VERSIONS, type SentenceVersion } from '../emit/sentences/style.js';
import type { Form } from './forms.js';
import type { ViolationCode } from './violation.js';

/** What a field must look like. */
export interface FieldRule {
  /** As a message names it: `latitude`. */
  readonly name: string;
  readonly form: Form;
  readonly mayBeBlank: boolean;
}

/** The fields that a sentence has in some versions: the number of fields tells which. */
export interface Shape {
  readonly fields: readonly FieldRule[];
  readonly versions: readonly SentenceVersion[];
}

/** Two fields that stand together: a value and its direction or unit, by their places from 0. */
export interface Pair {
  readonly value: number;
  readonly letter: number;
  /** A unit may stand without a value; a direction may not. */
  readonly mayLetterStandAlone: boolean;
}

/** Tells of a violation. @param place of the field, from 0; null: of several */
export type Say = (code: ViolationCode, place: number | null, what: string) => void;

/** What a formatter's sentences must look like. */
export interface SentenceRule {
  readonly formatter: string;
  readonly shapes: readonly Shape[];
  readonly pairs: readonly Pair[];
  /** What no field shows by itself; looked at only where every field is right by itself. */
  readonly together?: (fields: readonly string[], say: Say, talker: string) => void;
}

/** A field that may be blank. */
export function field(name: string, form: Form): FieldRule {
  return { name, form, mayBeBlank: true };
}

/** A field that must not be blank. */
export function needed(name: string, form: Form): FieldRule {
  return { name, form, mayBeBlank: false };
}

/** A shape of the versions from `since` to the one before `until`. */
export function shape(
  fields: readonly FieldRule[],
  since: SentenceVersion = '2.1',
  until: SentenceVersion | null = null,
): Shape {
  const end = until === null ? SENTENCE_VERSIONS.length : SENTENCE_VERSIONS.indexOf(until);
  return { fields, versions: SENTENCE_VERSIONS.slice(SENTENCE_VERSIONS.indexOf(since), end) };
}

/** A value at a place and its direction in the next field. */
export function direction(value: number): Pair {
  return { value, letter: value + 1, mayLetterStandAlone: false };
}

/** A value at a place and its unit in the next field. */
export function unit(value: number): Pair {
  return { value, letter: value + 1, mayLetterStandAlone: true };
}
