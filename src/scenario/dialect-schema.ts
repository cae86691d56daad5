import { z } from 'zod';
import { quantity } from '../base/quantity-schema.js';
import { parseHex } from '../dialect/byte-pattern.js';
import { NAMED_CRCS, SUM_RULES } from '../dialect/checksums.js';
import { LENGTH_COUNTS } from '../dialect/frame.js';
import { SENTENCE_NAMES } from '../emit/sentences/style.js';
import { MAX_BAUD, MIN_BAUD } from './bounds.js';
import { actingTime, operand, sentenceMenu } from './dialect-fields.js';
import { byKey, type ChoiceProblem, choice, issue, strict, text, whole } from './fields.js';

const STARTS = ['cold', 'warm', 'hot'] as const;

/** The longest delay of a reply or an action, s. */
const LONGEST_DELAY_S = 600;
/** The longest sentence, line or frame that a dialect may allow, bytes. */
const LONGEST_ELEMENT = 65_535;

const delay = () => quantity('duration', { min: 0, max: LONGEST_DELAY_S });

const AFTER = { after: delay().optional().describe('From the command to the reply; default: as the dialect says') };

const hexError = 'expected bytes in hexadecimal, in quotes, such as "9B E4"';

/** Bytes in hexadecimal. */
function hex(most: number) {
  return z
    .unknown()
    .meta({ type: 'string', pattern: '^\\s*([0-9A-Fa-f]{2}\\s*)+$', examples: ['9B E4'] })
    .transform((value, context): Uint8Array => {
      const bytes = typeof value === 'string' ? parseHex(value) : null;
      if (bytes !== null && bytes.length <= most) return bytes;
      const expected = bytes === null ? hexError.slice('expected '.length) : `at most ${most} bytes`;
      context.issues.push(issue(value, { kind: bytes === null ? 'type' : 'range', expected }));
      return z.NEVER;
    });
}

const PATTERN_MAX = 500;

const REPLY_KEYS = ['sentence', 'each-sentence', 'line', 'body', 'bytes', 'last'];

const REPLY_VARIANTS = [
  text(PATTERN_MAX),
  strict({ sentence: text(PATTERN_MAX).describe('Its body; $ and checksum are added'), ...AFTER }, REPLY_KEYS),
  strict(
    { 'each-sentence': text(PATTERN_MAX).describe('One for each that comes: {sentence}, {every}'), ...AFTER },
    REPLY_KEYS,
  ),
  strict({ line: text(PATTERN_MAX).describe('A line of text that is no sentence'), ...AFTER }, REPLY_KEYS),
  strict(
    {
      body: text(PATTERN_MAX).describe('A frame’s body; start, length, checksum and end are added'),
      frame: text(40).optional().describe('Its kind, where there are several'),
      ...AFTER,
    },
    REPLY_KEYS,
  ),
  strict({ bytes: hex(1000).describe('Bytes in hexadecimal, as they are'), ...AFTER }, REPLY_KEYS),
  strict(
    { last: operand(z.enum(SENTENCE_NAMES)).describe('The last epoch’s sentences of that kind'), ...AFTER },
    REPLY_KEYS,
  ),
] as const;

const selectReplyKey = byKey('a reply', REPLY_KEYS, ['after', 'frame']);

function selectReply(value: unknown): number | ChoiceProblem {
  if (typeof value === 'string') return 0;
  const answer = selectReplyKey(value);
  return typeof answer === 'number' ? answer + 1 : answer;
}

const ONE_REPLY = choice(REPLY_VARIANTS, selectReply);

/** A reply, several, or none. */
const REPLY = choice([...REPLY_VARIANTS, z.array(ONE_REPLY).max(16)], (value) =>
  Array.isArray(value) ? REPLY_VARIANTS.length : selectReply(value),
);

const REPLIES = {
  done: REPLY.optional().describe('To a command that says nothing else; default: none'),
  refused: REPLY.optional().describe('Where a value is not allowed; default: none'),
  unknown: REPLY.optional().describe('To what is none of the commands; none: it is ignored'),
  'wrong-checksum': REPLY.optional().describe('To what arrived damaged; none: it is ignored'),
};

const rangeError = { error: 'expected the least and the most, such as [0.1, 10]' };
const RANGE = z.tuple([z.number(rangeError), z.number(rangeError)], rangeError);

const CAPTURE_KEYS = ['number', 'integer', 'among', 'word', 'sentence', 'text'];

const DEFAULT = {
  default: z
    .union([z.string(), z.number()], { error: 'expected text or a number' })
    .transform(String)
    .optional()
    .describe('What a blank or missing field stands for'),
};

const wordError = 'expected words, each with what it means: { C: cold, H: hot }';

const CAPTURE = choice(
  [
    strict({ number: z.enum(['Hz', 'ms', 's']), range: RANGE.describe('Least and most'), ...DEFAULT }, CAPTURE_KEYS),
    strict({ integer: RANGE.describe('A whole number, from the least to the most'), ...DEFAULT }, CAPTURE_KEYS),
    strict(
      {
        among: z
          .array(z.number().int(), { error: 'expected a list of whole numbers' })
          .min(1)
          .describe('One of these whole numbers'),
        ...DEFAULT,
      },
      CAPTURE_KEYS,
    ),
    strict(
      {
        word: z
          .record(z.string(), z.union([z.string(), z.number()], { error: wordError }), { error: wordError })
          .describe('Words, and what each means'),
        ...DEFAULT,
      },
      CAPTURE_KEYS,
    ),
    strict(
      {
        sentence: choice([z.literal('any'), z.array(z.enum(SENTENCE_NAMES))], (value) =>
          Array.isArray(value) ? 1 : value === 'any' ? 0 : { kind: 'type', expected: 'any, or a list of sentences' },
        ).describe('A sentence’s name'),
        ...DEFAULT,
      },
      CAPTURE_KEYS,
    ),
    strict({ text: whole(1, 200, 'characters').describe('Any text, up to so long'), ...DEFAULT }, CAPTURE_KEYS),
  ],
  byKey('what a capture may be', CAPTURE_KEYS, ['range', 'default']),
);
export type RawCapture = z.output<typeof CAPTURE>;

const ACTION_WORDS = ['standby', 'save', 'forget'] as const;
const ACTION_KEYS = ['interval', 'baud', 'sentence', 'sentences', 'start', 'reset'];

const ACTION_VARIANTS = [
  z.enum(ACTION_WORDS),
  strict(
    { interval: operand(quantity('duration', { min: 0.02, max: 10 })).describe('Interval of epochs') },
    ACTION_KEYS,
  ),
  strict({ baud: operand(whole(MIN_BAUD, MAX_BAUD, 'baud')).describe('Speed of the line') }, ACTION_KEYS),
  strict(
    {
      sentence: operand(z.enum(SENTENCE_NAMES)).describe('A sentence'),
      every: operand(whole(0, 100_000, 'epochs')).describe('At every how many epochs it comes; 0: never'),
    },
    ACTION_KEYS,
  ),
  strict({ sentences: operand(sentenceMenu()).describe('Just these come') }, ACTION_KEYS),
  strict({ start: operand(z.enum(STARTS)).describe('The receiver starts anew') }, ACTION_KEYS),
  strict({ reset: operand(z.enum(STARTS)).describe('The module boots') }, ACTION_KEYS),
] as const;

function selectAction(value: unknown): number | ChoiceProblem {
  if (typeof value === 'string') return 0;
  const answer = byKey(`one of ${ACTION_WORDS.join(', ')}, or an action`, ACTION_KEYS, ['every'])(value);
  return typeof answer === 'number' ? answer + 1 : answer;
}

const ONE_ACTION = choice(ACTION_VARIANTS, selectAction);
export type RawAction = z.output<typeof ONE_ACTION>;

const ACTIONS = choice([...ACTION_VARIANTS, z.array(ONE_ACTION).max(16)], (value) =>
  Array.isArray(value) ? ACTION_VARIANTS.length : selectAction(value),
);

const POLICY = z.enum(['required', 'optional', 'none']);

const COMMAND_KEYS = ['sentence', 'line', 'body'];
const nameError = 'expected a name of letters, digits, hyphens and underscores';

const COMMON = {
  name: z
    .string({ error: nameError })
    .regex(/^[A-Za-z0-9_-]{1,40}$/, { error: nameError })
    .describe('Its name in the journal, and for {command} in replies'),
  with: z
    .record(z.string(), CAPTURE, { error: 'expected captures, each with what it may be' })
    .optional()
    .describe('What its captures may be; default: any text'),
  do: ACTIONS.optional().describe('What it does; default: nothing'),
  act: actingTime().optional().describe('When: at once, after reply, or after a time; default: as the dialect says'),
  reply: REPLY.optional().describe('What is answered'),
  refused: REPLY.optional().describe('What is answered where a value is not allowed'),
};

const COMMAND = choice(
  [
    strict(
      {
        sentence: text(PATTERN_MAX).describe('Its body, with captures: PLDB,RATE,{rate}'),
        checksum: POLICY.optional().describe('Default: as the dialect says'),
        ...COMMON,
      },
      COMMAND_KEYS,
    ),
    strict({ line: text(PATTERN_MAX).describe('The line, with captures'), ...COMMON }, COMMAND_KEYS),
    strict(
      {
        body: text(PATTERN_MAX).describe('A frame’s header and payload in hexadecimal, with captures'),
        frame: text(40).optional().describe('The frame’s kind, where there are several'),
        ...COMMON,
      },
      COMMAND_KEYS,
    ),
  ],
  byKey('a command', COMMAND_KEYS, ['checksum', 'frame', ...Object.keys(COMMON)]),
);

const ORDER = z.enum(['little', 'big']).default('big').describe('Which byte of a number comes first');

const MAX_CRC = 0xffff_ffff;

const CRC = strict({
  width: z.literal([8, 16, 24, 32], { error: 'expected 8, 16, 24 or 32' }).describe('Its bits'),
  polynomial: whole(1, MAX_CRC).describe('Without its highest term, the most significant bit first: 0x1021'),
  init: whole(0, MAX_CRC).default(0).describe('Start value'),
  'reflected-in': z.boolean().default(false).describe('Of each byte the least significant bit comes first'),
  'reflected-out': z.boolean().default(false).describe('The result’s bits are turned about'),
  xor: whole(0, MAX_CRC).default(0).describe('Exclusive or with the result'),
});

/** A checksum's name, or a CRC by the parameters of the published model. */
const RULE = choice(
  [z.enum([...SUM_RULES, ...(Object.keys(NAMED_CRCS) as (keyof typeof NAMED_CRCS)[])]), CRC],
  (value) => (typeof value === 'object' && value !== null ? 1 : 0),
);

const FRAME = strict({
  name: text(40).default('frame').describe('Its name, where there are several'),
  start: hex(16).describe('Bytes that begin it'),
  length: strict({
    at: whole(1, 64, 'bytes').describe('Bytes before it, those of the start included'),
    bytes: z.literal([1, 2, 4], { error: 'expected 1, 2 or 4' }).default(1),
    order: ORDER,
    counts: z.enum(LENGTH_COUNTS).default('payload').describe('What it counts'),
  }).describe('The field that says how long the frame is'),
  longest: whole(4, LONGEST_ELEMENT, 'bytes').default(512).describe('The longest frame, as a whole'),
  checksum: strict({
    rule: RULE.describe('By name, or a CRC by its parameters'),
    from: whole(0, 64, 'bytes').optional().describe('Bytes before the first that it covers; default: the start'),
    order: ORDER,
    init: whole(0, MAX_CRC).optional().describe('Start value of a CRC with a name; default: its own'),
  })
    .prefault({ rule: 'none' })
    .describe('The checksum behind the payload'),
  end: hex(16).optional().describe('Bytes that end it; default: none'),
  replies: strict(REPLIES).prefault({}).describe('What its commands are answered'),
});

const END = z.enum(['CR', 'LF', 'CR LF']).default('CR LF');

const LINES = strict({
  start: z
    .string({ error: 'expected text, or nothing' })
    .regex(/^[\x21-\x7e]{0,16}$/, { error: 'expected up to 16 printable characters' })
    .refine((start) => !start.startsWith('$'), { error: 'expected anything but $, which begins a sentence' })
    .default('')
    .describe('What a line begins with; default: nothing'),
  end: z.enum(['CR', 'LF', 'either']).default('either').describe('What ends it'),
  'reply-end': END.describe('What ends a line that is answered'),
  replies: strict(REPLIES).prefault({}).describe('What lines are answered'),
});

const listOf = (what: string) => ({ error: `expected a list of ${what}` });

/** A dialect's file. */
export const DIALECT_SCHEMA = strict({
  'lodestub-dialect': z.literal(1, { error: 'expected 1' }).describe('Version of this format: 1'),
  title: text(120).optional().describe('Whose language it is, one line'),
  echo: z.boolean().default(false).describe('Whether what the host writes comes back'),
  queries: z.boolean().default(true).describe('Whether the standard’s query sentence is answered'),
  delay: delay().prefault('0 ms').describe('From a command to its reply'),
  act: actingTime().prefault('at once').describe('When a command is done: at once, after reply, or after a time'),
  checksum: POLICY.default('required').describe('Whether sentences must have their checksum'),
  address: text(40).optional().describe('How sentences begin that are meant for the module; others get no objection'),
  longest: whole(16, LONGEST_ELEMENT, 'characters').default(1024).describe('The longest sentence or line'),
  'frame-timeout': quantity('duration', { min: 0.02, max: 3600 })
    .prefault('1 s')
    .describe('A frame that has not ended by then is noise'),
  'text-timeout': quantity('duration', { min: 0.02, max: 86_400 })
    .prefault('60 s')
    .describe('A sentence or line that has not ended by then is noise: time enough to type one'),
  replies: strict(REPLIES).prefault({}).describe('What sentences are answered where they say nothing else'),
  lines: LINES.optional().describe('Lines of text that are no sentences; default: there are none, unless a command is'),
  frames: z.array(FRAME, listOf('frames')).max(8).default([]).describe('Kinds of binary frames'),
  commands: z.array(COMMAND, listOf('commands')).max(500).default([]).describe('Commands; the first that fits counts'),
});

export type RawDialect = z.output<typeof DIALECT_SCHEMA>;
export type RawCommand = RawDialect['commands'][number];
export type RawFrame = RawDialect['frames'][number];
export type RawReply = NonNullable<z.output<typeof REPLY>>;
export type RawReplies = RawDialect['replies'];
