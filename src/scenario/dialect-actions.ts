import type { ActionTemplate, Operand } from '../dialect/definition.js';
import type { CaptureSite } from '../dialect/pattern.js';
import { ANY_TEXT, type CaptureKind, type CaptureType } from '../dialect/values.js';
import { milliseconds, type Notes } from './dialect-notes.js';
import type { RawAction } from './dialect-schema.js';
import type { ValuePath } from './document.js';
import { mistake } from './explain.js';

/** A command's captures. */
interface Captures {
  readonly sites: readonly CaptureSite[];
  readonly captures: ReadonlyMap<string, CaptureType>;
}

/** What may give a number. */
const NUMBERS: readonly CaptureKind['is'][] = ['number', 'integer', 'among', 'word'];
const WORDS: readonly CaptureKind['is'][] = ['word'];
const SENTENCES: readonly CaptureKind['is'][] = ['sentence', 'word'];

/** What a command does; that its captures can give it is checked. */
export function readAction(raw: RawAction, at: ValuePath, captures: Captures, notes: Notes): ActionTemplate {
  if (typeof raw === 'string') return { do: raw };
  const check = <T>(key: string, operand: Operand<T>, kinds: readonly CaptureKind['is'][]) => {
    checkOperand(operand, kinds, [...at, key], captures, notes);
    return operand;
  };
  if ('interval' in raw) {
    const interval = check('interval', raw.interval, NUMBERS);
    const inMs = 'value' in interval ? { value: Math.round(milliseconds(interval.value)) } : interval;
    return { do: 'set-interval', interval: inMs };
  }
  if ('baud' in raw) return { do: 'set-baud', baud: check('baud', raw.baud, NUMBERS) };
  if ('sentence' in raw) {
    const sentence = check('sentence', raw.sentence, SENTENCES);
    return { do: 'set-sentence', sentence, every: check('every', raw.every, NUMBERS) };
  }
  if ('sentences' in raw) return { do: 'set-sentences', sentences: check('sentences', raw.sentences, SENTENCES) };
  if ('start' in raw) return { do: 'start', start: check('start', raw.start, WORDS) };
  return { do: 'reset', start: check('reset', raw.reset, WORDS) };
}

/** That a capture is there, always has a value, and one of the right kind. */
export function checkOperand<T>(
  operand: Operand<T>,
  kinds: readonly CaptureKind['is'][],
  at: ValuePath,
  { sites, captures }: Captures,
  { document, mistakes }: Notes,
): void {
  if ('value' in operand) return;
  const { capture } = operand;
  const site = sites.find(({ name }) => name === capture);
  if (site === undefined) {
    const expected =
      sites.length === 0 ? 'no capture: the pattern has none' : `one of ${sites.map(({ name }) => name).join(', ')}`;
    mistakes.push(mistake(document, at, { kind: 'unknown-word', expected, received: capture }));
    return;
  }
  const type = captures.get(capture) ?? ANY_TEXT;
  if (!kinds.includes(type.kind.is)) {
    const expected = `a capture that is a ${kinds.join(' or a ')}`;
    mistakes.push(mistake(document, at, { kind: 'type', expected, received: `${capture}, a ${type.kind.is}` }));
  } else if (site.isOptional && type.default === null) {
    const detail = { kind: 'required', expected: `a default of ${capture}, which may be blank`, received: 'none' };
    mistakes.push(mistake(document, at, detail));
  }
}
