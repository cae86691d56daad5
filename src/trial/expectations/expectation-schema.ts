import { z } from 'zod';
import { formatQuantity } from '../../base/quantity.js';
import { quantity } from '../../base/quantity-schema.js';
import { MAX_DURATION_S } from '../../scenario/bounds.js';
import { byKey, choice, issue, strict, text } from '../../scenario/fields.js';
import type { Expectation, ExpectationKind } from '../expectation.js';
import { EXPECTATION_KINDS } from './registry.js';

const valueError = 'expected text or a number, or a list of them';

const onlyValue = z
  .union([z.string(), z.number()], { error: valueError })
  .transform((value) => String(value))
  .pipe(text(4096));

/** A value of an axis, or several. */
const onlyValues = () =>
  choice([onlyValue, z.array(onlyValue, { error: valueError }).min(1, { error: valueError })], (value) =>
    Array.isArray(value) ? 1 : 0,
  ).transform((value): readonly string[] => (Array.isArray(value) ? value : [value as string]));

/** Keys that every kind of expectation has. */
const COMMON = {
  name: text(120).optional().describe('What it is called in results; default: what it says'),
  from: quantity('duration', { min: 0, max: MAX_DURATION_S })
    .optional()
    .describe('It counts from here on, after the start; default: the start'),
  to: quantity('duration', { exclusiveMin: 0, max: MAX_DURATION_S })
    .optional()
    .describe('It counts up to here; default: the end'),
  during: text(60)
    .optional()
    .describe('Only while this is in force: a fault by kind, by its entry’s id or by 3.1, or surroundings by name'),
  only: strict({
    faults: onlyValues().optional().describe('Sets of faults'),
    module: onlyValues().optional().describe('Modules'),
    scenario: onlyValues().optional().describe('Scenarios'),
    seed: onlyValues().optional().describe('Seeds'),
  })
    .default({})
    .describe('Only in the cases with these values'),
};

const COMMON_KEYS = Object.keys(COMMON);
const KIND_KEYS = EXPECTATION_KINDS.map(({ key }) => key);

type Common = z.output<z.ZodObject<typeof COMMON>>;

/** When it counts, in words; empty: always. */
function whenOf({ from, to, during }: Common): string {
  const s = (value: number) => formatQuantity(value, 'duration');
  const begin = from === undefined ? '' : `, from ${s(from)}${to === undefined ? ' on' : ''}`;
  const end = to === undefined ? '' : `${from === undefined ? ', up to' : ' to'} ${s(to)}`;
  return `${begin}${end}${during === undefined ? '' : `, during ${during}`}`;
}

/** Makes the expectation that an entry stands for. */
function expectationOf(kind: ExpectationKind, entry: Common & Readonly<Record<string, unknown>>): Expectation {
  const { name, from, to, during, only } = entry;
  const settings = Object.fromEntries(Object.entries(entry).filter(([key]) => !COMMON_KEYS.includes(key)));
  return {
    name: name ?? `${kind.describe(settings)}${whenOf(entry)}`,
    kind,
    settings,
    window: { fromS: from ?? null, toS: to ?? null, during: during ?? null },
    only: Object.fromEntries(Object.entries(only).filter((each): each is [string, string[]] => each[1] !== undefined)),
  };
}

function entryOf(kind: ExpectationKind): z.ZodType<Expectation> {
  const entry = strict({ ...kind.shape, ...COMMON }, KIND_KEYS);
  return entry.transform((value, context): Expectation => {
    const { from, to } = value as Common;
    if (from !== undefined && to !== undefined && to <= from) {
      context.issues.push({ ...issue(to, { kind: 'range', expected: 'a time after from' }), path: ['to'] });
      return z.NEVER;
    }
    return expectationOf(kind, value as Common & Readonly<Record<string, unknown>>);
  }) as unknown as z.ZodType<Expectation>;
}

const OWN_KEYS = new Set(EXPECTATION_KINDS.flatMap(({ shape }) => Object.keys(shape)));

/** The definition of one entry of a trial's `expect:` list: a mapping with one kind's key, and what else that has. */
export const EXPECTATION_SCHEMA: z.ZodType<Expectation> = choice(
  EXPECTATION_KINDS.map(entryOf),
  byKey('an expectation', KIND_KEYS, [...[...OWN_KEYS].filter((key) => !KIND_KEYS.includes(key)), ...COMMON_KEYS]),
);
