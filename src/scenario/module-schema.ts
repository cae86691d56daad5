import { z } from 'zod';
import { quantity } from '../base/quantity-schema.js';
import { SENTENCE_NAMES, SENTENCE_VERSIONS } from '../emit/sentences/style.js';
import type { AntennaKind } from '../sim/receiver/settings.js';
import { MAX_BAUD, MIN_BAUD } from './bounds.js';
import { issue, numericWord, strict, text, type Words, whole } from './fields.js';

/** The line at start-up of a module that names none: whoever looks at the stream sees that it is not real. */
export const DEFAULT_BANNER = 'LODESTUB SIMULATED GNSS DATA - NOT FOR NAVIGATION';
/** Characters of a banner line: with the fields around it a TXT sentence stays within its 82. */
const BANNER_LINE_MAX = 60;

/** The kinds of antenna, as words. */
export const ANTENNAS = { good: 'good', patch: 'patch' } as const satisfies Words<AntennaKind>;

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

const RATE = quantity('frequency', { min: 0.1, max: 50 }).prefault('1 Hz').describe('Navigation epochs a second');

const DECIMALS = strict({
  minutes: whole(2, 7).default(4).describe('of the minutes of latitude and longitude'),
  seconds: whole(0, 3).default(2).describe('of the seconds of time'),
  altitude: whole(0, 3).default(1).describe('of the height and the geoid separation, m'),
  speed: whole(0, 3).default(1).describe('of the speed, kn and km/h'),
  course: whole(0, 3).default(1).describe('of the course, deg'),
  dop: whole(1, 2).default(1).describe('of the dilutions of precision'),
});

const RECEIVER = strict({
  'elevation-mask': quantity('angle', { min: 0, max: 90 })
    .prefault('5 deg')
    .describe('Satellites below it are not used'),
  channels: whole(1, 500).default(32).describe('Signals searched or tracked at a time'),
  antenna: z
    .enum(ANTENNAS)
    .default('patch')
    .describe('good: survey antenna; patch: small antenna of a consumer module'),
  'course-min-speed': quantity('speed', { min: 0, max: 10 })
    .prefault('0.3 m/s')
    .describe('Below it no course is reported'),
  'simulator-flags': z.boolean().default(false).describe('Quality 8 and mode S instead of those of a real module'),
});

const SHAPE = {
  title: text(120).optional().describe('What the module is, one line'),
  baud: whole(MIN_BAUD, MAX_BAUD, 'baud').default(9600).describe('Speed of the line, baud'),
  rate: RATE,
  latency: quantity('duration', { min: 0, max: 60 }).prefault('120 ms').describe('From an epoch to its first bit'),
  jitter: quantity('duration', { min: 0, max: 10 }).prefault('5 ms').describe('Standard deviation of the latency'),
  boot: quantity('duration', { min: 0, max: 600 }).prefault('300 ms').describe('From power-up to the first bit'),
  banner: BANNER,
  'transmit-buffer': whole(128, 10_000_000, 'bytes').default(2048).describe('Size of the transmit buffer, bytes'),
  overflow: z.enum(['drop', 'cut']).default('drop').describe('What happens to a sentence that does not fit'),
  version: numericWord(SENTENCE_VERSIONS).prefault('4.11').describe('Version of the sentence standard'),
  talker: z
    .string({ error: 'expected two capital letters such as GP or GN' })
    .regex(/^[A-OQ-Z][A-Z]$/, { error: 'expected two capital letters such as GP or GN' })
    .default('GP')
    .describe('Who speaks: GP for a GPS receiver, GN for a combined one'),
  decimals: DECIMALS.prefault({}).describe('Digits after the point'),
  'unknown-dop': numericWord(['99.99', ''])
    .prefault('99.99')
    .describe('What stands for an unknown dilution of precision'),
  sentences: SENTENCES.prefault({ RMC: 1, GGA: 1, GSA: 1, GSV: 1, VTG: 1, GLL: 1, ZDA: 1 }),
  receiver: RECEIVER.prefault({}).describe('The receiver behind the line'),
};

const MARK = z.literal(1, { error: 'expected 1' }).describe('Version of this format: 1');

/** A module profile as a file of its own. */
export const MODULE_FILE_SCHEMA = strict({ 'lodestub-module': MARK, ...SHAPE });
/** A module profile within a scenario. */
export const MODULE_INLINE_SCHEMA = strict({ 'lodestub-module': MARK.optional(), ...SHAPE });

/** What the schemas give. */
export type ModuleSettings = z.output<typeof MODULE_INLINE_SCHEMA>;
