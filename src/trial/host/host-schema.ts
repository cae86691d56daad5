import { z } from 'zod';
import { suggest } from '../../base/nearest.js';
import { quantity } from '../../base/quantity-schema.js';
import { type ChoiceProblem, choice, issue, strict, text } from '../../scenario/fields.js';
import { PLACEHOLDERS, unknownPlaceholder } from './placeholders.js';
import { splitWords } from './split-words.js';

/** Signals that may ask a host to end. */
export const STOP_SIGNALS = ['SIGTERM', 'SIGINT', 'SIGHUP', 'SIGQUIT', 'SIGUSR1', 'SIGUSR2', 'SIGKILL'] as const;

/** Longest command line that is taken, characters. */
const LONGEST_COMMAND = 10_000;
const MOST_WORDS = 500;

/** A host that each case starts for itself. */
export interface HostCommand {
  /** Program and arguments; placeholders are not filled in yet. */
  readonly command: readonly string[];
  /** Where it runs, relative to the trial's file. */
  readonly folder: string;
  /** What its environment has beside ours; null: taken away. Placeholders are not filled in yet. */
  readonly environment: Readonly<Record<string, string | null>>;
  /** A line on one of its outputs that says that it is ready; null: none does. */
  readonly ready: RegExp | null;
  readonly readyWithinS: number;
  /** Started again when it ends by itself. */
  readonly restart: boolean;
  readonly restartAfterS: number;
  /** Asks it to end. */
  readonly stop: (typeof STOP_SIGNALS)[number];
  /** From asking to ending it by force. */
  readonly stopWithinS: number;
}

/** The host under test. */
export type HostSettings = HostCommand | 'already-running';

const COMMAND_EXPECTED =
  "the command as a list such as [python3, reader.py, '{port}'], or as one line of text, program first";

/** Checks a text's placeholders. */
function filled(type: z.ZodString) {
  return type.superRefine((value, context) => {
    const params = problemOf(value);
    if (params !== null) context.issues.push(issue(value, params));
  });
}

/** What is wrong with a text's placeholders, as an issue says it; null: nothing. */
export function problemOf(value: string): ChoiceProblem | null {
  const word = unknownPlaceholder(value);
  if (word === null) return null;
  const hint = `${suggest(word, Object.keys(PLACEHOLDERS))} A brace before a word is written {{.`;
  return { kind: 'unknown-word', expected: 'a word in braces that is a placeholder', hint };
}

const WORDS = z
  .array(
    z
      .union([filled(z.string()), z.number().transform(String)], { error: 'expected text or a number' })
      .describe('A word of the command'),
    { error: `expected ${COMMAND_EXPECTED}` },
  )
  .min(1, { error: `expected ${COMMAND_EXPECTED}` })
  .max(MOST_WORDS, { error: `expected a command of at most ${MOST_WORDS} words` });

const LINE = text(LONGEST_COMMAND).transform((value, context): string[] => {
  const words = splitWords(value);
  const problem = 'problem' in words ? words.problem : problemOf(value);
  if (problem !== null) context.issues.push(issue(value, problem));
  return 'words' in words ? [...words.words] : [];
});

/** A regular expression, in a trial's file. */
export function pattern(what: string) {
  return z
    .unknown()
    .meta({ type: 'string', format: 'regex' })
    .transform((value, context): RegExp => {
      try {
        if (typeof value === 'string' && value !== '') return new RegExp(value);
        context.issues.push(issue(value, { kind: 'type', expected: `${what}, as a regular expression` }));
      } catch (error) {
        const expected = `${what}, as a regular expression (${(error as Error).message})`;
        context.issues.push(issue(value, { kind: 'type', expected, hint: 'In YAML, put it in single quotes.' }));
      }
      return z.NEVER;
    });
}

const environmentError = 'expected a mapping of names and values, such as { TZ: UTC }';

const ENVIRONMENT = z.record(
  z.string().regex(/^[^=\0]+$/, { error: environmentError }),
  z.union([filled(z.string()), z.number().transform(String), z.boolean().transform(String), z.null()], {
    error: 'expected text, a number, or null to take it away',
  }),
  { error: environmentError },
);

const COMMAND = strict({
  command: choice([WORDS, LINE], (value) => {
    if (Array.isArray(value)) return 0;
    return typeof value === 'string'
      ? 1
      : { kind: value === undefined ? 'required' : 'type', expected: COMMAND_EXPECTED };
  })
    .meta({ examples: [['python3', 'reader.py', '{port}', '{baud}'], './reader {port}'] })
    .describe('Program and arguments. A line of text is split at its spaces, with quotes; there is no shell'),
  folder: text(4096).default('.').describe('Where it runs, relative to this file'),
  environment: ENVIRONMENT.default({}).describe('What its environment has beside Lodestub’s own'),
  ready: pattern('what a line of its output has that says that it is ready')
    .optional()
    .describe('Time begins once a line of its output matches; default: once it has opened the port'),
  'ready-within': quantity('duration', { exclusiveMin: 0, max: 3600 })
    .prefault('10 s')
    .describe('How long it may take to be ready'),
  restart: z.boolean().default(false).describe('True: it is started again when it ends by itself'),
  'restart-after': quantity('duration', { min: 0.1, max: 3600 })
    .prefault('1 s')
    .describe('From its end to its next start'),
  stop: z.enum(STOP_SIGNALS).default('SIGTERM').describe('The signal that asks it to end when the case is over'),
  'stop-within': quantity('duration', { min: 0, max: 600 }).prefault('3 s').describe('Then it is ended by force'),
}).transform(
  (raw): HostSettings => ({
    command: raw.command,
    folder: raw.folder,
    environment: raw.environment,
    ready: raw.ready ?? null,
    readyWithinS: raw['ready-within'],
    restart: raw.restart,
    restartAfterS: raw['restart-after'],
    stop: raw.stop,
    stopWithinS: raw['stop-within'],
  }),
);

const HOST_EXPECTED = 'already-running, or a mapping with the key command';

/** The definition of a trial's `host:`. */
export const HOST_SCHEMA = choice(
  [COMMAND, z.literal('already-running').describe('Somebody else starts it: the trial says on which port')],
  (value) => {
    if (value === 'already-running') return 1;
    if (typeof value === 'object' && value !== null && !Array.isArray(value)) return 0;
    if (typeof value === 'string') {
      const hint = 'A command stands under its key: host: { command: … }.';
      return { kind: 'type', expected: HOST_EXPECTED, hint };
    }
    return { kind: value === undefined ? 'required' : 'type', expected: HOST_EXPECTED };
  },
);
