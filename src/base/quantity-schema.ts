import { z } from 'zod';
import { LodestubError } from './error.js';
import {
  type Dimension,
  describeDimension,
  formatQuantity,
  parseQuantity,
  quantityExample,
  unitsOf,
} from './quantity.js';

/** Bounds of a quantity, in the dimension's SI unit. */
export interface QuantityBounds {
  /** The smallest value allowed. */
  readonly min?: number;
  /** The largest value allowed. */
  readonly max?: number;
  /** The values must be greater than this. */
  readonly exclusiveMin?: number;
}

/**
 * What an issue of one of our own zod types carries in `params`, so that whoever reports it can fill in the one
 * template of messages.
 */
export interface IssueParams {
  /** The last part of the error's code. */
  readonly kind: 'range' | 'unit' | 'type' | 'required' | 'unknown-word' | 'unknown-key' | 'one-of';
  readonly expected: string;
  readonly hint?: string;
}

/** The input side of a quantity: text with a unit, or a bare 0. */
export type QuantityInput = string | 0;

/**
 * A zod type for a number with its unit. Its input is text such as `9 kn` (or a bare 0), its output the number in the
 * dimension's SI unit. A default is given as a person would type it: `quantity('duration').prefault('5 s')`, a
 * description with `.describe('…')`. Issues are of code `custom`, with {@link IssueParams}.
 */
export function quantity(dimension: Dimension, bounds: QuantityBounds = {}): z.ZodType<number, QuantityInput> {
  const example = quantityExample(dimension);
  const input = z.unknown().meta({
    type: ['string', 'number'],
    description: `${describeDimension(dimension)}${rangeSuffix(dimension, bounds)}`,
    examples: [example],
    // A number is only ever a bare 0; a text is a number and one of the units.
    pattern: `^\\s*([+-]?0|[+-]?[0-9.]+([eE][+-]?[0-9]+)?\\s*(${unitsOf(dimension).map(quoted).join('|')}))\\s*$`,
    minimum: 0,
    maximum: 0,
  });
  const type = input.transform((value, context) => {
    const params = problem(value, dimension, bounds);
    if (typeof params === 'number') return params;
    context.issues.push({ code: 'custom', input: value, message: `expected ${params.expected}`, params });
    return z.NEVER;
  });
  return type as unknown as z.ZodType<number, QuantityInput>;
}

/** The value in SI, or what is wrong with it. */
function problem(value: unknown, dimension: Dimension, bounds: QuantityBounds): number | IssueParams {
  const range = rangeSuffix(dimension, bounds);
  const expected = `${describeDimension(dimension)}${range}`;
  if (value === undefined) return { kind: 'required', expected };
  if (typeof value === 'number' && value !== 0) {
    return { kind: 'unit', expected, hint: `Write the unit behind the number: ${example(dimension, value)}.` };
  }
  if (typeof value !== 'string' && value !== 0) return { kind: 'type', expected };
  let valueSi: number;
  try {
    valueSi = parseQuantity(String(value), dimension);
  } catch (error) {
    if (!(error instanceof LodestubError)) throw error;
    const kind = error.code === 'quantity.unit' ? 'unit' : 'type';
    return { kind, expected: `${error.expected ?? expected}${range}` };
  }
  return isWithin(valueSi, bounds) ? valueSi : { kind: 'range', expected: rangeText(dimension, bounds) };
}

/** The number found with a unit of the dimension, for a hint. */
function example(dimension: Dimension, value: number): string {
  return `${value} ${unitsOf(dimension).includes('min') ? 's' : quantityExample(dimension).split(' ')[1]}`;
}

function isWithin(valueSi: number, { min, max, exclusiveMin }: QuantityBounds): boolean {
  if (min !== undefined && valueSi < min) return false;
  if (max !== undefined && valueSi > max) return false;
  return exclusiveMin === undefined || valueSi > exclusiveMin;
}

/** `0 deg to 90 deg`, `more than 0 s`, `more than 0 s, up to 1 h`. */
function rangeText(dimension: Dimension, { min, max, exclusiveMin }: QuantityBounds): string {
  const at = (valueSi: number) => formatQuantity(valueSi, dimension);
  if (exclusiveMin !== undefined) {
    return max === undefined ? `more than ${at(exclusiveMin)}` : `more than ${at(exclusiveMin)}, up to ${at(max)}`;
  }
  if (min !== undefined) return max === undefined ? `at least ${at(min)}` : `${at(min)} to ${at(max)}`;
  return max === undefined ? 'any value' : `at most ${at(max)}`;
}

function rangeSuffix(dimension: Dimension, bounds: QuantityBounds): string {
  return Object.keys(bounds).length === 0 ? '' : `, ${rangeText(dimension, bounds)}`;
}

function quoted(unit: string): string {
  return unit.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
}
