import { SENTENCE_NAMES, type SentenceName } from '../emit/sentences/style.js';
import type { Matched } from './pattern.js';

/** The unit that a captured number is in. */
export type NumberUnit = 'Hz' | 'ms' | 's';

/** What a capture may be. */
export type CaptureKind =
  | { readonly is: 'number'; readonly unit: NumberUnit; readonly range: readonly [number, number] }
  | { readonly is: 'integer'; readonly range: readonly [number, number] }
  | { readonly is: 'among'; readonly values: readonly number[] }
  /** A word, and what it means. */
  | { readonly is: 'word'; readonly words: ReadonlyMap<string, string | number> }
  | { readonly is: 'sentence'; readonly names: readonly SentenceName[] }
  | { readonly is: 'text'; readonly longest: number };

/** A capture's kind, and what stands for it where its field is blank or missing. */
export interface CaptureType {
  readonly kind: CaptureKind;
  readonly default: string | null;
}

/** What a capture came to. */
export interface Captured {
  /** As it came; the rest's fields with commas between. */
  readonly raw: string;
  /** One, several of a rest, none of an optional one that is blank and has no default. */
  readonly values: readonly (string | number)[];
  readonly unit: NumberUnit | null;
}

/** A capture that no type is given for. */
export const ANY_TEXT: CaptureType = { kind: { is: 'text', longest: 100 }, default: null };

const DECIMAL = /^[+-]?\d{1,10}(\.\d{0,10})?$/;
const INTEGER = /^[+-]?\d{1,10}$/;

/** Values of what matched; null: one of them is not allowed. */
export function readCaptures(
  matched: Matched,
  types: ReadonlyMap<string, CaptureType>,
): ReadonlyMap<string, Captured> | null {
  const captures = new Map<string, Captured>();
  for (const [name, texts] of matched) {
    const type = types.get(name) ?? ANY_TEXT;
    const given = texts.length === 0 && type.default !== null ? [type.default] : texts;
    const values: (string | number)[] = [];
    for (const text of given) {
      const value = readValue(type.kind, text);
      if (value === null) return null;
      values.push(value);
    }
    captures.set(name, { raw: given.join(','), values, unit: type.kind.is === 'number' ? type.kind.unit : null });
  }
  return captures;
}

/** A value of that kind; null: none. */
export function readValue(kind: CaptureKind, text: string): string | number | null {
  switch (kind.is) {
    case 'number':
      return DECIMAL.test(text) ? within(Number(text), kind.range) : null;
    case 'integer':
      return INTEGER.test(text) ? within(Number(text), kind.range) : null;
    case 'among':
      return INTEGER.test(text) && kind.values.includes(Number(text)) ? Number(text) : null;
    case 'word':
      return kind.words.get(text) ?? null;
    case 'sentence':
      return kind.names.find((name) => name === text) ?? null;
    case 'text':
      return text.length <= kind.longest ? text : null;
  }
}

/** The name of a sentence; null: none that there is. */
export function sentenceNamed(text: unknown): SentenceName | null {
  return SENTENCE_NAMES.find((name) => name === text) ?? null;
}

function within(value: number, [least, most]: readonly [number, number]): number | null {
  return value >= least && value <= most ? value : null;
}
