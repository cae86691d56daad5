import { NUMBER_TYPES, type NumberType, orderOf, readNumber, sizeOf, writeNumber } from './byte-numbers.js';
import type { Matched } from './pattern.js';

/** A part of a frame's body, as matched or as built. */
export type BytePart =
  | { readonly kind: 'fixed'; readonly bytes: Uint8Array }
  | { readonly kind: 'number'; readonly name: string; readonly type: NumberType; readonly size: number }
  /** Any bytes, so many. */
  | { readonly kind: 'any'; readonly size: number }
  /** All that is left, which may be nothing. */
  | { readonly kind: 'rest' }
  /** Text, a byte a character. */
  | { readonly kind: 'text'; readonly name: string };

const NAMED = /^\{([a-z][a-z0-9-]*)(?::([a-z0-9]+))?\}$/;
const TYPES = NUMBER_TYPES.join(', ');
const EXPECTED = `bytes in hexadecimal and captures: 21 {interval:u16be} {any:2} {rest}; types ${TYPES}`;
const BUILT = `bytes in hexadecimal and values: A0 {baud:u32be} {version:text}; types ${TYPES}, text`;

/** The most bytes of one `{any:2}`. */
const ANY_MAX = 4096;

/** Reads bytes in hexadecimal, with or without spaces between. @returns null for anything else, and for none */
export function parseHex(text: string): Uint8Array | null {
  const digits = text.replace(/\s+/g, '');
  if (!/^([0-9a-fA-F]{2})+$/.test(digits)) return null;
  return Uint8Array.from({ length: digits.length / 2 }, (_, i) => Number.parseInt(digits.slice(2 * i, 2 * i + 2), 16));
}

/**
 * Reads a pattern of a frame's body.
 * @param isReply it is one to build by: no `{any:2}` and `{rest}`, but text
 * @returns text: what was expected
 */
export function parseBytePattern(text: string, isReply: boolean): readonly BytePart[] | string {
  const parts: BytePart[] = [];
  const expected = isReply ? BUILT : EXPECTED;
  for (const word of text.split(/(\{[^}]*\})/)) {
    if (word.trim() === '') continue;
    const bytes = parseHex(word);
    const part = bytes === null ? parsePart(word, isReply) : ({ kind: 'fixed', bytes } as const);
    if (part === null || parts.at(-1)?.kind === 'rest') return expected;
    parts.push(part);
  }
  return parts.length === 0 ? expected : parts;
}

function parsePart(word: string, isReply: boolean): BytePart | null {
  const [, name, type] = NAMED.exec(word) ?? [];
  if (name === undefined) return null;
  if (name === 'rest') return type === undefined && !isReply ? { kind: 'rest' } : null;
  if (name === 'any') {
    const size = Number(type);
    return !isReply && size >= 1 && size <= ANY_MAX ? { kind: 'any', size } : null;
  }
  if (type === 'text') return isReply ? { kind: 'text', name } : null;
  const known = NUMBER_TYPES.find((each) => each === type);
  return known === undefined ? null : { kind: 'number', name, type: known, size: sizeOf(known) };
}

/** Matches a body; numbers are captured as decimal text. */
export function matchBytes(parts: readonly BytePart[], body: Uint8Array): Matched | null {
  const matched: Matched = new Map();
  let at = 0;
  for (const part of parts) {
    if (part.kind === 'rest') return matched;
    const size = part.kind === 'fixed' ? part.bytes.length : part.kind === 'text' ? 0 : part.size;
    if (at + size > body.length) return null;
    if (part.kind === 'fixed') {
      for (let i = 0; i < size; i++) if (body[at + i] !== part.bytes[i]) return null;
    } else if (part.kind === 'number') {
      matched.set(part.name, [String(readNumber(body, at, part.type))]);
    }
    at += size;
  }
  return at === body.length ? matched : null;
}

/** Builds a body. @param textOf the text of a value: for a number, its decimal digits; others count as 0 */
export function fillBytes(parts: readonly BytePart[], textOf: (name: string) => string): Uint8Array {
  const bytes: number[] = [];
  for (const part of parts) {
    if (part.kind === 'fixed') bytes.push(...part.bytes);
    if (part.kind === 'text') for (const character of textOf(part.name)) bytes.push(character.charCodeAt(0) & 0xff);
    if (part.kind !== 'number') continue;
    const value = Math.round(Number(textOf(part.name)));
    const field = new Uint8Array(part.size);
    writeNumber(field, 0, part.size, orderOf(part.type), Number.isFinite(value) ? value : 0);
    bytes.push(...field);
  }
  return Uint8Array.from(bytes);
}
