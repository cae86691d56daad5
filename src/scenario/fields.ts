import { z } from 'zod';
import { LodestubError } from '../base/error.js';
import type { IssueParams } from '../base/quantity-schema.js';
import { dateOfDay, dayNumberOf, parseUtc, type Utc } from '../base/time.js';
import { bytesFromLatin1 } from '../emit/line/transmission.js';
import { frame } from '../emit/sentences/checksum.js';
import type { Place } from '../sim/trajectory/route.js';
import { PLACE_EXPECTED, readPlace } from './place.js';

/** What a choice says where no variant fits; a JSON text in the issue's message. */
export interface ChoiceProblem extends IssueParams {
  /** Where, from the choice's value on. */
  readonly at?: string;
  readonly summary?: string;
  /** For an unknown word: the words known, and the word itself where it is a key. */
  readonly words?: readonly string[];
  readonly word?: string;
}

/** The words of a type, for a choice of one of them: one too many or too few does not compile. */
export type Words<Union extends string> = { readonly [Word in Union]: Word };

/** What the message of an issue about unknown keys carries, as JSON. */
export interface KnownKeys {
  readonly keys: readonly string[];
  /** The keys of which the variants of a choice have exactly one each. */
  readonly variants: readonly string[];
}

/** A mapping that knows its keys; `variants`: the keys that tell the variants of a choice apart. */
export function strict<Shape extends z.core.$ZodLooseShape>(
  shape: Shape,
  variants: readonly string[] = [],
): z.ZodObject<Shape, z.core.$strict> {
  const known: KnownKeys = { keys: Object.keys(shape), variants };
  return z.strictObject(shape, {
    error: (issue) => (issue.code === 'unrecognized_keys' ? JSON.stringify(known) : undefined),
  });
}

/**
 * One of several variants, told apart by `select`: the index of the variant whose issues count, or what is wrong with
 * all of them. The issue's message carries the answer as JSON.
 */
export function choice<const Options extends readonly z.core.SomeType[]>(
  options: Options,
  select: (value: unknown) => number | ChoiceProblem,
): z.ZodUnion<Options> {
  return z.union(options, { error: (issue) => JSON.stringify(select(issue.input)) });
}

/**
 * A `select` for {@link choice}: variants told apart by a key that only one of them has.
 * @param keys those keys, in the order of the variants
 * @param others the further keys that variants have
 */
export function byKey(
  what: string,
  keys: readonly string[],
  others: readonly string[],
): (value: unknown) => number | ChoiceProblem {
  const expected = `${what} as a mapping with one of the keys ${keys.join(', ')}`;
  return (value) => {
    if (typeof value !== 'object' || value === null || Array.isArray(value)) return { kind: 'type', expected };
    const present = keys.filter((key) => Object.hasOwn(value, key));
    if (present.length === 1) return keys.indexOf(present[0] as string);
    if (present.length > 1) {
      const at = Object.keys(value).filter((key) => keys.includes(key))[1] as string;
      return { kind: 'one-of', at, expected: onlyOneOf(keys) };
    }
    // A misspelt key is the likelier mistake than none: `hodl: 90 s`.
    const word = Object.keys(value).find((key) => !others.includes(key));
    if (word === undefined) return { kind: 'required', expected };
    return { kind: 'unknown-key', at: word, word, words: [...keys, ...others], expected };
  };
}

/** What to say was expected where keys exclude each other. */
export function onlyOneOf(keys: readonly string[]): string {
  return `only one of the keys ${keys.join(', ')}`;
}

/** A whole number from `min` to `max`; `what` names the unit or thing counted. */
export function whole(min: number, max: number, what = ''): z.ZodNumber {
  const error = `expected a whole number of ${min} to ${max}${what === '' ? '' : ` ${what}`}`;
  return z.number({ error }).int({ error }).min(min, { error }).max(max, { error });
}

/** Text of one to `max` characters. */
export function text(max: number): z.ZodString {
  const error = `expected text of 1 to ${max} characters`;
  return z.string({ error }).min(1, { error }).max(max, { error });
}

/** Words of which one is chosen, given as text or, where a word looks like a number, as that number. */
export function numericWord<const Words extends readonly string[]>(words: Words) {
  const variants = words.flatMap((word) => (word === '' ? [word] : [word, Number(word)]));
  return z
    .unknown()
    .meta({ enum: variants })
    .transform((value, context): Words[number] => {
      // YAML reads 4.10 as the number 4.1.
      const isMeant = (each: string) => each === value || (each !== '' && Number(each) === value);
      const word = words.find(isMeant);
      if (word !== undefined) return word;
      const expected = `one of ${words.map((each) => `'${each}'`).join(', ')}`;
      context.issues.push(issue(value, { kind: 'unknown-word', expected, words }));
      return z.NEVER;
    });
}

const PLACE_META = {
  description: 'A place: latitude, longitude in degrees and, if wanted, the height above mean sea level',
  examples: [[63.4305, 10.3951, '12 m'], '63.4305 N 10.3951 E'],
  anyOf: [
    {
      type: 'array',
      prefixItems: [{ type: ['number', 'string'] }, { type: ['number', 'string'] }, { type: ['number', 'string'] }],
      minItems: 2,
      maxItems: 3,
    },
    { type: 'string' },
  ],
};

/** A place. */
export function place() {
  return z
    .unknown()
    .meta(PLACE_META)
    .transform((value, context): Place => {
      try {
        if (value !== undefined) return readPlace(value);
        context.issues.push(issue(value, { kind: 'required', expected: PLACE_EXPECTED }));
      } catch (error) {
        context.issues.push(fromError(value, error));
      }
      return z.NEVER;
    });
}

/** A place, or a list of places: what a `go` step passes through. */
export function places() {
  const meta = {
    description: 'A place, or a list of places in order',
    examples: [
      [63.441, 10.4102],
      [[63.441, 10.4102], '63.45 N 10.42 E'],
    ],
    anyOf: [...PLACE_META.anyOf, { type: 'array', items: { anyOf: PLACE_META.anyOf }, minItems: 1 }],
  };
  return z
    .unknown()
    .meta(meta)
    .transform((value, context): Place[] => {
      const isList = Array.isArray(value) && value.length > 0 && value.every((part) => isPlaceLike(part));
      const list: unknown[] = isList ? value : [value];
      const found: Place[] = [];
      for (const [index, each] of list.entries()) {
        try {
          found.push(readPlace(each));
        } catch (error) {
          context.issues.push(fromError(each, error, isList ? [index] : []));
        }
      }
      return context.issues.length > 0 ? z.NEVER : found;
    });
}

/** Part of a list of places, not a part of one place. */
function isPlaceLike(part: unknown): boolean {
  return Array.isArray(part) || (typeof part === 'string' && /[\d°'"NSns]\s*[,\s]\s*[\d+-]/.test(part));
}

const BYTES_EXPECTED = 'a line of text such as $PLDB,RATE,5 (its checksum is added), or base64: followed by the bytes';

/** Bytes that a host sends: a line of text, or base64. */
export function hostBytes() {
  const meta = { type: 'string', examples: ['$GPGPQ,GGA', 'base64:tWIGAQ=='] };
  return z
    .unknown()
    .meta(meta)
    .transform((value, context): Uint8Array => {
      const bytes = typeof value === 'string' ? bytesFrom(value) : null;
      if (bytes !== null) return bytes;
      context.issues.push(issue(value, { kind: 'type', expected: BYTES_EXPECTED }));
      return z.NEVER;
    });
}

/** Null for what is no line of printable ASCII, and no base64. */
function bytesFrom(value: string): Uint8Array | null {
  if (/^base64:/i.test(value)) {
    const [, base64 = '?'] = /^base64:([A-Za-z0-9+/]+={0,2})$/.exec(value) ?? [];
    try {
      return bytesFromLatin1(atob(base64));
    } catch {
      return null;
    }
  }
  if (!/^[\x20-\x7e]{1,1000}$/.test(value)) return null;
  const isBare = value.startsWith('$') && !value.includes('*');
  return bytesFromLatin1(`${isBare ? frame(value.slice(1)) : value}\r\n`);
}

/** A time in UTC, or `now`. */
export function startTime() {
  return z
    .unknown()
    .meta({
      type: 'string',
      description: 'When it starts, in UTC, or now',
      examples: ['2022-02-18T09:30:00Z', 'now'],
    })
    .transform((value, context): Utc | 'now' => {
      if (value === 'now') return 'now';
      try {
        return parseUtc(typeof value === 'string' ? value : JSON.stringify(value));
      } catch (error) {
        context.issues.push(fromError(value, error));
        return z.NEVER;
      }
    });
}

/**
 * A day of the calendar, `2027-06-30`, as days since 1970-01-01.
 * @param what what was expected, for the message
 */
export function day(what: string, isAllowed: (dayNumber: number) => boolean) {
  return z
    .unknown()
    .meta({ type: 'string', examples: ['2027-06-30'] })
    .transform((value, context): number => {
      const dayNumber = typeof value === 'string' ? dayFrom(value) : null;
      if (dayNumber !== null && isAllowed(dayNumber)) return dayNumber;
      context.issues.push(issue(value, { kind: dayNumber === null ? 'type' : 'range', expected: what }));
      return z.NEVER;
    });
}

/** Null for what is no date. */
function dayFrom(text: string): number | null {
  const [year, month, ofMonth] = (/^(\d{4})-(\d{2})-(\d{2})$/.exec(text) ?? []).slice(1).map(Number);
  if (year === undefined || month === undefined || ofMonth === undefined) return null;
  const dayNumber = dayNumberOf(year, month, ofMonth);
  const back = dateOfDay(dayNumber);
  return back.month === month && back.day === ofMonth ? dayNumber : null;
}

/** The issue that an error from below stands for. */
function fromError(input: unknown, error: unknown, path: Array<string | number> = []): z.core.$ZodRawIssue {
  if (!(error instanceof LodestubError)) throw error;
  const kind = error.code === 'place.range' || error.code === 'time.calendar' ? 'range' : 'type';
  const params: ChoiceProblem = {
    kind,
    expected: error.expected ?? error.message,
    ...(error.hint === undefined ? {} : { hint: error.hint }),
  };
  return { ...issue(input, params), path };
}

/** A raw issue with our own parameters. */
export function issue(input: unknown, params: ChoiceProblem): z.core.$ZodRawIssue {
  return { code: 'custom', input, message: `expected ${params.expected}`, params: { ...params } };
}
