import { z } from 'zod';
import { LodestubError } from '../base/error.js';
import { parseQuantity } from '../base/quantity.js';
import type { Operand } from '../dialect/definition.js';
import { SENTENCE_NAMES, type SentenceName } from '../emit/sentences/style.js';
import { choice, issue, whole } from './fields.js';

const REFERENCE = /^\{[a-z][a-z0-9-]*\}$/;
const referenceError = 'expected a capture such as "{rate}", in quotes';

/** A value, or a capture that gives it: `"{rate}"`. */
export function operand<Value>(value: z.ZodType<Value>) {
  const reference = z
    .string({ error: referenceError })
    .regex(REFERENCE, { error: referenceError })
    .transform((text): Operand<Value> => ({ capture: text.slice(1, -1) }));
  return choice([reference, value.transform((each): Operand<Value> => ({ value: each }))], (given) =>
    (typeof given === 'string' && given.startsWith('{')) || isBareReference(given) ? 0 : 1,
  );
}

/** YAML reads {rate} without quotes as a mapping of one key without a value. */
function isBareReference(given: unknown): boolean {
  return (
    typeof given === 'object' && given !== null && Object.keys(given).length === 1 && Object.values(given)[0] === null
  );
}

const menuError = `expected sentences out of ${SENTENCE_NAMES.join(', ')}, each with its interval in epochs`;

/** Sentences in their order, each with at every how many epochs it comes. */
export function sentenceMenu() {
  return z
    .record(z.string(), whole(1, 100_000, 'epochs'), { error: menuError })
    .superRefine((value, context) => {
      for (const name of Object.keys(value)) {
        if ((SENTENCE_NAMES as readonly string[]).includes(name)) continue;
        const problem = { kind: 'unknown-word', expected: 'the name of a sentence', word: name } as const;
        context.issues.push({ ...issue(name, { ...problem, words: SENTENCE_NAMES }), path: [name] });
      }
      if (Object.keys(value).length === 0) {
        context.issues.push(issue(value, { kind: 'range', expected: 'one sentence or more' }));
      }
    })
    .transform((menu) => Object.entries(menu).map(([name, every]) => ({ name: name as SentenceName, every })));
}

const ACTING_EXPECTED = 'at once, after reply, or after a time such as after 200 ms';
/** The longest time from a command to what it does, s. */
const LONGEST_S = 600;

/** When a command is done: so many ms after it, or once the replies have gone out. */
export function actingTime() {
  return z
    .unknown()
    .meta({ type: 'string', pattern: '^(at once|after reply|after .+)$', examples: ['after reply', 'after 200 ms'] })
    .transform((value, context): number | 'reply' => {
      if (value === 'at once') return 0;
      if (value === 'after reply') return 'reply';
      const [, text] = typeof value === 'string' ? (/^after (.+)$/.exec(value) ?? []) : [];
      const seconds = text === undefined ? null : secondsOf(text);
      if (seconds !== null && seconds >= 0 && seconds <= LONGEST_S) return seconds * 1000;
      context.issues.push(issue(value, { kind: seconds === null ? 'type' : 'range', expected: ACTING_EXPECTED }));
      return z.NEVER;
    });
}

/** Null for what is no duration. */
function secondsOf(text: string): number | null {
  try {
    return parseQuantity(text, 'duration');
  } catch (error) {
    if (error instanceof LodestubError) return null;
    throw error;
  }
}
