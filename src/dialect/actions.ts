import type { SentenceName } from '../emit/sentences/style.js';
import type { StartKind } from '../sim/epoch.js';
import type { Action, ModuleFacts } from './command.js';
import type { ActionTemplate, DialectDefinition, Operand } from './definition.js';
import { type Captured, sentenceNamed } from './values.js';

/** What an interval may be off whole ms by: rounding of 1000 ms over a rate. */
const WHOLE_MS = 1e-6;

const STARTS: readonly StartKind[] = ['cold', 'warm', 'hot'];

type Captures = ReadonlyMap<string, Captured>;

/** Actions with their values; null: a value is not allowed. */
export function actionsOf(
  templates: readonly ActionTemplate[],
  captures: Captures,
  facts: ModuleFacts,
  limits: DialectDefinition['limits'],
): Action[] | null {
  const actions: Action[] = [];
  for (const template of templates) {
    const action = actionOf(template, captures, facts, limits);
    if (action === null) return null;
    actions.push(action);
  }
  return actions;
}

function actionOf(
  template: ActionTemplate,
  captures: Captures,
  facts: ModuleFacts,
  limits: DialectDefinition['limits'],
): Action | null {
  switch (template.do) {
    case 'set-interval': {
      const epochMs = intervalMs(template.interval, captures);
      return isWithin(epochMs, limits.intervalMs) ? { do: 'set-interval', epochMs } : null;
    }
    case 'set-baud': {
      const baud = numberOf(template.baud, captures);
      return isWithin(baud, limits.baud) ? { do: 'set-baud', baud } : null;
    }
    case 'set-sentence': {
      const sentence = sentenceNamed(valueIn(template.sentence, captures));
      const every = numberOf(template.every, captures);
      const isAllowed = sentence !== null && facts.known.includes(sentence) && isWithin(every, [0, limits.every]);
      return isAllowed ? { do: 'set-sentence', sentence, every } : null;
    }
    case 'set-sentences': {
      const sentences = menuOf(template.sentences, captures);
      if (sentences?.every(({ name }) => facts.known.includes(name)) !== true) return null;
      return { do: 'set-sentences', sentences };
    }
    case 'start':
    case 'reset': {
      const word = valueIn(template.start, captures);
      const start = STARTS.find((each) => each === word);
      return start === undefined ? null : { do: template.do, start };
    }
    default:
      return { do: template.do };
  }
}

/** An operand's value, or the first of a capture's; undefined: it has none. */
function valueIn<Value>(operand: Operand<Value>, captures: Captures): Value | string | number | undefined {
  return 'value' in operand ? operand.value : captures.get(operand.capture)?.values[0];
}

/** NaN for what is no number. */
function numberOf(operand: Operand<number>, captures: Captures): number {
  const value = valueIn(operand, captures);
  return typeof value === 'number' ? value : Number.NaN;
}

/** A whole number of ms; NaN for what is none. */
function intervalMs(operand: Operand<number>, captures: Captures): number {
  const value = numberOf(operand, captures);
  const unit = 'value' in operand ? null : captures.get(operand.capture)?.unit;
  const exact = unit === 'Hz' ? 1000 / value : unit === 's' ? value * 1000 : value;
  const whole = Math.round(exact);
  return Math.abs(exact - whole) <= WHOLE_MS ? whole : Number.NaN;
}

function isWithin(value: number, [least, most]: readonly [number, number]): boolean {
  return Number.isInteger(value) && value >= least && value <= most;
}

/** Sentences in their order, each once; null: one of them is none. */
function menuOf(
  operand: Operand<ReadonlyArray<{ name: SentenceName; every: number }>>,
  captures: Captures,
): ReadonlyArray<{ name: SentenceName; every: number }> | null {
  if ('value' in operand) return operand.value;
  const menu: { name: SentenceName; every: number }[] = [];
  for (const value of captures.get(operand.capture)?.values ?? []) {
    const name = sentenceNamed(value);
    if (name === null) return null;
    if (!menu.some((each) => each.name === name)) menu.push({ name, every: 1 });
  }
  return menu.length === 0 ? null : menu;
}

/** The sentence that an operand names; null: none that the module has. */
export function sentenceOf(
  operand: Operand<SentenceName>,
  captures: Captures,
  facts: ModuleFacts,
): SentenceName | null {
  const name = sentenceNamed(valueIn(operand, captures));
  return name !== null && facts.known.includes(name) ? name : null;
}
