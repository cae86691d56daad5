import { z } from 'zod';
import { PUBLISHED_LEAP_SECONDS } from '../base/leap-seconds.js';
import { quantity } from '../base/quantity-schema.js';
import type { FaultKind } from '../faults/fault.js';
import { satellite } from '../faults/settings.js';
import type { StartKind } from '../sim/epoch.js';
import type { ErrorSwitches } from '../sim/signal/error-switches.js';
import { ALL_ERRORS, NO_ERRORS } from '../sim/signal/error-switches.js';
import { SYSTEM_NAMES } from '../sim/sky/system.js';
import type { Surroundings } from '../sim/surroundings.js';
import { MAX_DURATION_S, MAX_SEED, MAX_SPEED_MPS } from './bounds.js';
import {
  byKey,
  type ChoiceProblem,
  choice,
  day,
  hostBytes,
  place,
  places,
  startTime,
  strict,
  text,
  type Words,
  whole,
} from './fields.js';
import { MODULE_INLINE_SCHEMA } from './module-schema.js';
import { RECEIVER_CHANGES } from './receiver-schema.js';
import { recording } from './recording-schema.js';
import type { StopKind } from './scenario.js';
import { surroundings } from './surroundings-schema.js';

const STARTS = { cold: 'cold', warm: 'warm', hot: 'hot' } as const satisfies Words<StartKind>;

/** The keys that tell the kinds of step, and of entry, apart. */
const STEP_KINDS = ['hold', 'go', 'track', 'repeat'];
const ENTRY_KINDS = ['fault', 'surroundings', 'command', 'clear', 'stop'];
const STOPS = ['after-sentence', 'at-once'] as const satisfies readonly StopKind[];
const OFFER_KINDS = ['fault', 'surroundings'];

const speed = () => quantity('speed', { exclusiveMin: 0, max: MAX_SPEED_MPS }).describe('Speed over ground');

const MOTION = {
  acceleration: quantity('acceleration', { exclusiveMin: 0, max: 100 })
    .prefault('0.5 m/s2')
    .describe('When the speed changes'),
  'yaw-rate': quantity('yaw-rate', { exclusiveMin: 0, max: 720 })
    .prefault('10 deg/s')
    .describe('How fast the course may change'),
};

const AROUND = {
  surroundings: surroundings().optional().describe('What stands around the antenna during this step'),
};

/** A step of the route as the file has it. */
export type RawStep = RawHold | RawGo | RawTrack | RawRepeat;

const HOLD = strict(
  {
    hold: quantity('duration', { exclusiveMin: 0, max: MAX_DURATION_S }).describe('How long the antenna stands still'),
    at: place().optional().describe('Where: only in the first step, or the place already reached'),
    ...AROUND,
  },
  STEP_KINDS,
);
type RawHold = z.output<typeof HOLD>;

const GO = strict(
  {
    go: places(),
    speed: speed(),
    ...MOTION,
    'turn-radius': quantity('length', { exclusiveMin: 0, max: 100_000 })
      .optional()
      .describe('Radius of the turns between legs; default: as small as the yaw rate allows'),
    ...AROUND,
  },
  STEP_KINDS,
);
type RawGo = z.output<typeof GO>;

const TRACK = strict(
  {
    track: text(4096).describe('A GPX file, relative to this file'),
    speed: speed().optional().describe('Default: by the times in the file'),
    ...MOTION,
    ...AROUND,
  },
  STEP_KINDS,
);
type RawTrack = z.output<typeof TRACK>;

interface RawRepeat {
  readonly repeat: number;
  readonly route: readonly RawStep[];
  readonly surroundings?: Surroundings | undefined;
}

const listOf = (what: string) => ({ error: `expected a list of ${what}` });

/** The day of the last leap second that was inserted. */
const LAST_LEAP = '2016-12-31';

/** Keys that steps have beside the one that tells their kind. */
const STEP_KEYS = ['at', 'speed', 'acceleration', 'yaw-rate', 'turn-radius', 'route', 'surroundings'];

const STEP: z.ZodType<RawStep> = z.lazy(() =>
  choice([HOLD, GO, TRACK, REPEAT], byKey('a step of the route', STEP_KINDS, STEP_KEYS)),
);
const ROUTE = z.array(STEP, listOf('steps')).min(1, listOf('one step or more'));
const REPEAT: z.ZodType<RawRepeat> = strict(
  {
    repeat: whole(1, 100_000, 'times').describe('How many times'),
    route: ROUTE.describe('The steps that are repeated'),
    ...AROUND,
  },
  STEP_KINDS,
);

const SKY = strict({
  systems: z
    .array(
      z.enum(SYSTEM_NAMES, { error: `expected one of ${SYSTEM_NAMES.join(', ')}` }),
      listOf(`systems: ${SYSTEM_NAMES.join(', ')}`),
    )
    .min(1, listOf('one system or more'))
    .transform((systems) => SYSTEM_NAMES.filter((name) => systems.includes(name)))
    .prefault(['gps'])
    .describe('The satellite systems in the sky; beside an almanac gps alone'),
  almanac: text(4096)
    .optional()
    .describe('A YUMA or SEM almanac, relative to this file; default: the reference constellation'),
  navigation: text(4096)
    .optional()
    .describe('A RINEX navigation file of version 2, 3 or 4, plain or gzip, instead of an almanac'),
  shift: z
    .boolean()
    .default(false)
    .describe('True: an almanac over 180 days from the start, or a file of other days, is moved there'),
  'leap-second': day(`a day such as 2027-06-30, after the last leap second, ${LAST_LEAP}`, (dayNumber) => {
    return dayNumber > PUBLISHED_LEAP_SECONDS.lastDay;
  })
    .optional()
    .describe('A fictional leap second, at the end of that day of UTC'),
  'out-of-service': z
    .array(satellite(), listOf('satellites such as G05'))
    .default([])
    .describe('Satellites that send nothing'),
});

const LASTS = {
  for: quantity('duration', { exclusiveMin: 0, max: MAX_DURATION_S })
    .optional()
    .describe('How long it is in force; default: to the end'),
};

const idError = 'expected a name of small letters, digits and hyphens that begins with a letter, such as cable-1';

const name = () => z.string({ error: idError }).regex(/^[a-z][a-z0-9-]{0,39}$/, { error: idError });

const entryError = "expected the id of an entry such as cable-1, or its place in the timeline such as '3'";

const entryName = () =>
  z
    .string({ error: entryError })
    .regex(/^([a-z][a-z0-9-]{0,39}|[1-9]\d{0,5})$/, { error: entryError })
    .describe('What the entry of this id, or place, has brought about is over');

const AT = {
  at: quantity('duration', { min: 0, max: MAX_DURATION_S }).describe('When it begins, after the start'),
  id: name().optional().describe('Its name in the journal; default: its place in the timeline'),
};

const CHANCE = {
  chance: quantity('rate', { exclusiveMin: 0, max: 10 })
    .optional()
    .describe(
      'It comes at random times from at on, so often on average, one time after the other: with for, unless its kind ' +
        'has a length of its own, and rate times length below 1',
    ),
  until: quantity('duration', { exclusiveMin: 0, max: MAX_DURATION_S })
    .optional()
    .describe('With chance: no occurrence begins later; default: the end'),
};

/** What all kinds of fault have in common for the schema. */
type AnyKind = Pick<FaultKind, 'name' | 'title'> & { readonly settings: z.ZodType };

/** An entry of the timeline as the file has it. */
export interface RawEntry {
  readonly at: number;
  readonly id?: string;
  readonly for?: number;
  readonly fault?: string;
  readonly with?: unknown;
  readonly chance?: number;
  readonly until?: number;
  readonly surroundings?: Surroundings;
  readonly command?: Uint8Array;
  readonly clear?: string;
  readonly stop?: StopKind;
}

/** Something that may be started by hand, as the file has it. */
export type RawOffer = Pick<RawEntry, 'for' | 'fault' | 'with' | 'surroundings'>;

function faultsOf(kinds: readonly AnyKind[], shape: z.ZodRawShape, others: readonly string[]) {
  return kinds.map(({ name, title, settings }) =>
    strict(
      { ...shape, fault: z.literal(name).describe(title), with: settings.prefault({}).describe('Its settings') },
      others,
    ),
  );
}

/** What an entry may name: one of the faults, or another key of `keys`, the first being `fault`. */
function selectEntry(kinds: readonly AnyKind[], what: string, keys: readonly string[], others: readonly string[]) {
  const select = byKey(what, keys, others);
  return (value: unknown): number | ChoiceProblem => {
    const index = select(value);
    if (index !== 0) return typeof index === 'number' ? kinds.length + index - 1 : index;
    const word = (value as { fault: unknown }).fault;
    const found = kinds.findIndex(({ name }) => name === word);
    if (found >= 0) return found;
    return { kind: 'unknown-word', at: 'fault', expected: 'the name of a fault', words: kinds.map(({ name }) => name) };
  };
}

/** The definition of an entry of the timeline. */
export function timelineEntry(kinds: readonly AnyKind[]) {
  const around = surroundings().describe('What stands around the antenna for that time');
  return choice(
    [
      ...faultsOf(kinds, { ...AT, ...LASTS, ...CHANCE }, ENTRY_KINDS),
      strict({ ...AT, ...LASTS, surroundings: around }, ENTRY_KINDS),
      strict({ ...AT, command: hostBytes().describe('What the host sends') }, ENTRY_KINDS),
      strict({ ...AT, clear: entryName() }, ENTRY_KINDS),
      strict(
        { ...AT, stop: z.enum(STOPS).describe('The run ends: with the sentence on the line, or at once') },
        ENTRY_KINDS,
      ),
    ] as z.ZodType<RawEntry>[],
    selectEntry(kinds, 'an entry of the timeline', ENTRY_KINDS, ['at', 'id', 'for', 'with', 'chance', 'until']),
  );
}

/** The definition of something that may be started by hand. */
export function liveOffer(kinds: readonly AnyKind[]) {
  return choice(
    [
      ...faultsOf(kinds, LASTS, OFFER_KINDS),
      strict({ ...LASTS, surroundings: surroundings().describe('What stands around the antenna') }, OFFER_KINDS),
    ] as z.ZodType<RawOffer>[],
    selectEntry(kinds, 'something to be started by hand', OFFER_KINDS, ['for', 'with']),
  );
}

const selectModule = (value: unknown): number | ChoiceProblem => {
  if (typeof value === 'string') return 0;
  if (typeof value === 'object' && value !== null && !Array.isArray(value)) return 1;
  return { kind: 'type', expected: 'the name of a module, a file (./mine.yaml), or a mapping with its settings' };
};

const term = (what: string) => z.boolean().default(true).describe(what);

/** Which errors there are: a word, or a mapping of terms that are not to be. */
const ERROR_VARIANTS = [
  z.enum(['realistic', 'none']).transform((word): ErrorSwitches => (word === 'none' ? NO_ERRORS : ALL_ERRORS)),
  strict({
    'satellite-clock': term('Satellite clocks against what they broadcast'),
    orbit: term('Orbits against what is broadcast'),
    ionosphere: term('Delay in the ionosphere, and what the broadcast model leaves of it'),
    troposphere: term('Delay in the troposphere, and what the standard model leaves of it'),
    multipath: term('Reflections'),
    noise: term('Noise of the receiver'),
    'inter-system': term('Offsets between systems'),
    'receiver-clock': term('Bias and drift of the receiver’s clock'),
  }).transform(
    (terms): ErrorSwitches => ({
      satelliteClock: terms['satellite-clock'],
      orbit: terms.orbit,
      ionosphere: terms.ionosphere,
      troposphere: terms.troposphere,
      multipath: terms.multipath,
      noise: terms.noise,
      interSystem: terms['inter-system'],
      receiverClock: terms['receiver-clock'],
    }),
  ),
] as const;

const selectErrors = (value: unknown): number | ChoiceProblem => {
  if (typeof value === 'object' && value !== null && !Array.isArray(value)) return 1;
  if (typeof value === 'string') return 0;
  return { kind: 'type', expected: 'realistic, none, or a mapping of terms such as { ionosphere: false }' };
};

const MADE = new WeakMap<readonly AnyKind[], ReturnType<typeof makeSchema>>();

/** The definition of a scenario file; `kinds` are the faults that its timeline may name. Made once for each list. */
export function scenarioSchema(kinds: readonly AnyKind[]) {
  const schema = MADE.get(kinds) ?? makeSchema(kinds);
  MADE.set(kinds, schema);
  return schema;
}

function makeSchema(kinds: readonly AnyKind[]) {
  return strict({
    lodestub: z.literal(1, { error: 'expected 1' }).describe('Version of this format: 1'),
    title: text(120).optional().describe('What it is about, one line'),
    seed: whole(0, MAX_SEED).default(1).describe('All that is random follows from it'),
    start: startTime().prefault('now'),
    duration: quantity('duration', { exclusiveMin: 0, max: MAX_DURATION_S })
      .optional()
      .describe("How long it lasts; default: the route's length. After the route's end the antenna stays"),
    module: choice([text(4096), MODULE_INLINE_SCHEMA], selectModule)
      .default('single-band-9600')
      .describe('A profile by name, a file, or the mapping itself'),
    receiver: strict({
      start: z.enum(STARTS).default('cold').describe('What the receiver knows at the start'),
      ...RECEIVER_CHANGES,
    })
      .prefault({})
      .describe("What differs from the module's receiver"),
    sky: SKY.prefault({}).describe('The satellites'),
    errors: choice(ERROR_VARIANTS, selectErrors)
      .prefault('realistic')
      .describe('none: the measurements are exact; a mapping switches single terms off'),
    surroundings: surroundings().prefault('open').describe('What stands around the antenna'),
    route: ROUTE.optional().describe('Where the antenna goes'),
    recording: recording()
      .optional()
      .describe('In place of a route: a recorded stream, which has no receiver for faults to act on'),
    timeline: z.array(timelineEntry(kinds), listOf('entries')).default([]).describe('What happens on the way'),
    live: z
      .array(liveOffer(kinds), listOf('faults or surroundings, nine at most'))
      .max(9, listOf('faults or surroundings, nine at most'))
      .default([])
      .describe('What can be started by hand while it is played: by the keys 1 to 9, or through the control socket'),
  }).meta({ oneOf: [{ required: ['route'] }, { required: ['recording'] }] });
}

/** What the schema gives. */
export type RawScenario = z.output<ReturnType<typeof scenarioSchema>>;
