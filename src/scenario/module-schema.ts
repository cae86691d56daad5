import { z } from 'zod';
import { quantity } from '../base/quantity-schema.js';
import { SENTENCE_NAMES } from '../emit/sentences/style.js';
import type { StartKind } from '../sim/epoch.js';
import { MAX_BAUD, MIN_BAUD } from './bounds.js';
import { issue, strict, text, type Words, whole } from './fields.js';
import { RECEIVER_SCHEMA } from './receiver-schema.js';
import { STYLE_SHAPE } from './style-schema.js';

/** The line at start-up of a module that names none: whoever looks at the stream sees that it is not real. */
export const DEFAULT_BANNER = 'LODESTUB SIMULATED GNSS DATA - NOT FOR NAVIGATION';
/** Characters of a banner line: with the fields around it a TXT sentence stays within its 82. */
const BANNER_LINE_MAX = 60;

/** The word without which a start-up says nothing of what this is. */
const HONEST_WORD = 'SIMULATED';

const lineError = `expected 1 to ${BANNER_LINE_MAX} characters of printable ASCII without $ * , ! \\ ^ ~`;
const listError = `expected a list of 1 to 8 lines, one of which contains the word ${HONEST_WORD}`;

/** The standard reserves the characters left out, and a comma would end the field. */
const BANNER_LINE = z
  .string({ error: lineError })
  .regex(/^[\x20-\x7e]+$/, { error: lineError })
  .regex(/^[^$*,!\\^~]+$/, { error: lineError })
  .max(BANNER_LINE_MAX, { error: lineError });

const BANNER = z
  .array(BANNER_LINE, { error: listError })
  .max(8, { error: listError })
  // Lines that cannot be sent are reported as such, not as dishonest.
  .refine((lines) => lines.some((line) => line.includes(HONEST_WORD) || !BANNER_LINE.safeParse(line).success), {
    error: listError,
  })
  .default([DEFAULT_BANNER])
  .describe(`Lines sent as TXT at start-up, one with the word ${HONEST_WORD}`);

const everyError = `expected sentences out of ${SENTENCE_NAMES.join(', ')}, each with its interval in epochs`;

/** A mapping of sentence to interval; its order is the order sent, so it must not be rebuilt by a fixed shape. */
const SENTENCES = z
  .record(z.string(), whole(1, 100_000, 'epochs'), { error: everyError })
  .superRefine((value, context) => {
    for (const name of Object.keys(value)) {
      if ((SENTENCE_NAMES as readonly string[]).includes(name)) continue;
      const expected = 'the name of a sentence';
      const problem = { kind: 'unknown-word' as const, expected, word: name, words: SENTENCE_NAMES };
      context.issues.push({ ...issue(name, problem), path: [name] });
    }
    if (Object.keys(value).length === 0)
      context.issues.push(issue(value, { kind: 'range', expected: everyError.slice('expected '.length) }));
  })
  .meta({ propertyNames: { enum: [...SENTENCE_NAMES] } })
  .describe('Sentences in the order sent, each with at every how many epochs it comes');

const STARTS = { cold: 'cold', warm: 'warm', hot: 'hot' } as const satisfies Words<StartKind>;

const BRIDGE = strict({
  hold: quantity('duration', { exclusiveMin: 0, max: 10 })
    .prefault('16 ms')
    .describe('What has waited so long is delivered'),
  packet: whole(1, 4096, 'bytes').default(62).describe('So many bytes are delivered at once'),
}).describe('A bridge between UART and USB, which delivers bytes in bunches; default: none');

const speedsError = 'expected a list of two speeds or more, in baud';

const SPEED_SEARCH = strict({
  speeds: z
    .array(whole(MIN_BAUD, MAX_BAUD, 'baud'), { error: speedsError })
    .min(2, { error: speedsError })
    .max(32, { error: speedsError })
    .default([9600, 4800, 38400, 115200])
    .describe('In this order, over and over'),
  dwell: quantity('duration', { min: 0.1, max: 3600 }).prefault('2 s').describe('How long it stays at each'),
}).describe('The module changes its speed until it understands a command at one; default: it has its own');

const RATE = quantity('frequency', { min: 0.1, max: 50 }).prefault('1 Hz').describe('Navigation epochs a second');

/** From power-up to the first bit where a profile says nothing else, ms. */
export const USUAL_BOOT_MS = 300;
/** The dialect of a profile that names none. */
export const USUAL_DIALECT = 'lodestub';

const SHAPE = {
  title: text(120).optional().describe('What the module is, one line'),
  baud: whole(MIN_BAUD, MAX_BAUD, 'baud').default(9600).describe('Speed of the line, baud'),
  rate: RATE,
  latency: quantity('duration', { min: 0, max: 60 }).prefault('120 ms').describe('From an epoch to its first bit'),
  jitter: quantity('duration', { min: 0, max: 10 }).prefault('5 ms').describe('Standard deviation of the latency'),
  boot: quantity('duration', { min: 0, max: 600 })
    .prefault(`${USUAL_BOOT_MS} ms`)
    .describe('From power-up to the first bit'),
  banner: BANNER,
  'transmit-buffer': whole(128, 10_000_000, 'bytes').default(2048).describe('Size of the transmit buffer, bytes'),
  overflow: z.enum(['drop', 'cut']).default('drop').describe('What happens to a sentence that does not fit'),
  bridge: BRIDGE.optional(),
  backlog: whole(0, 1_000_000, 'bytes')
    .default(0)
    .describe('Bytes kept while no host is there; they are the first that it gets'),
  'on-open': z.enum(STARTS).optional().describe('How the module starts anew when a host opens the port; default: not'),
  'speed-search': SPEED_SEARCH.optional(),
  dialect: text(4096)
    .default(USUAL_DIALECT)
    .describe('What commands it understands: lodestub, none, or a file, relative to this one'),
  ...STYLE_SHAPE,
  sentences: SENTENCES.prefault({ RMC: 1, GGA: 1, GSA: 1, GSV: 1, VTG: 1, GLL: 1, ZDA: 1 }),
  receiver: RECEIVER_SCHEMA.prefault({}).describe('The receiver behind the line'),
};

const MARK = z.literal(1, { error: 'expected 1' }).describe('Version of this format: 1');

/** A module profile as a file of its own. */
export const MODULE_FILE_SCHEMA = strict({ 'lodestub-module': MARK, ...SHAPE });
/** A module profile within a scenario. */
export const MODULE_INLINE_SCHEMA = strict({ 'lodestub-module': MARK.optional(), ...SHAPE });

/** What the schemas give. */
export type ModuleSettings = z.output<typeof MODULE_INLINE_SCHEMA>;
