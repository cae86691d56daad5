import { z } from 'zod';
import { quantity } from '../base/quantity-schema.js';
import type { FaultKind } from '../faults/fault.js';
import { satellite } from '../faults/settings.js';
import type { StartKind } from '../sim/epoch.js';
import type { Surroundings } from '../sim/signal/signal.js';
import type { SystemName } from '../sim/sky/orbit.js';
import { MAX_DURATION_S, MAX_SEED, MAX_SPEED_MPS } from './bounds.js';
import {
  byKey,
  type ChoiceProblem,
  choice,
  issue,
  place,
  places,
  startTime,
  strict,
  text,
  type Words,
  whole,
} from './fields.js';
import { ANTENNAS, MODULE_INLINE_SCHEMA } from './module-schema.js';

/** The satellite systems that this version simulates. */
const SYSTEMS = { gps: 'gps' } as const satisfies Words<SystemName>;
const SYSTEM_NAMES = Object.keys(SYSTEMS).join(', ');
const SURROUNDINGS = { open: 'open', tunnel: 'tunnel' } as const satisfies Words<Surroundings>;
const STARTS = { cold: 'cold', warm: 'warm', hot: 'hot' } as const satisfies Words<StartKind>;

/** The keys that tell the kinds of step, and of entry, apart. */
const STEP_KINDS = ['hold', 'go', 'track', 'repeat'];
const ENTRY_KINDS = ['fault', 'surroundings'];

const speed = () => quantity('speed', { exclusiveMin: 0, max: MAX_SPEED_MPS }).describe('Speed over ground');

const MOTION = {
  acceleration: quantity('acceleration', { exclusiveMin: 0, max: 100 })
    .prefault('0.5 m/s2')
    .describe('When the speed changes'),
  'yaw-rate': quantity('yaw-rate', { exclusiveMin: 0, max: 720 })
    .prefault('10 deg/s')
    .describe('How fast the course may change'),
};

/** A step of the route as the file has it. */
export type RawStep = RawHold | RawGo | RawTrack | RawRepeat;

const HOLD = strict(
  {
    hold: quantity('duration', { exclusiveMin: 0, max: MAX_DURATION_S }).describe('How long the antenna stands still'),
    at: place().optional().describe('Where: only in the first step, or the place already reached'),
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
  },
  STEP_KINDS,
);
type RawGo = z.output<typeof GO>;

const TRACK = strict(
  {
    track: text(4096).describe('A GPX file, relative to this file'),
    speed: speed().optional().describe('Default: by the times in the file'),
    ...MOTION,
  },
  STEP_KINDS,
);
type RawTrack = z.output<typeof TRACK>;

interface RawRepeat {
  readonly repeat: number;
  readonly route: readonly RawStep[];
}

const listOf = (what: string) => ({ error: `expected a list of ${what}` });

/** Keys that steps have beside the one that tells their kind. */
const STEP_KEYS = ['at', 'speed', 'acceleration', 'yaw-rate', 'turn-radius', 'route'];

const STEP: z.ZodType<RawStep> = z.lazy(() =>
  choice([HOLD, GO, TRACK, REPEAT], byKey('a step of the route', STEP_KINDS, STEP_KEYS)),
);
const ROUTE = z.array(STEP, listOf('steps')).min(1, listOf('one step or more'));
const REPEAT: z.ZodType<RawRepeat> = strict(
  {
    repeat: whole(1, 100_000, 'times').describe('How many times'),
    route: ROUTE.describe('The steps that are repeated'),
  },
  STEP_KINDS,
);

const SKY = strict({
  systems: z
    .array(
      z.enum(SYSTEMS, { error: `expected ${SYSTEM_NAMES}: what this version simulates` }),
      listOf(`systems: ${SYSTEM_NAMES}`),
    )
    .min(1, listOf('one system or more'))
    .default(['gps'])
    .describe('The satellite systems in the sky'),
  almanac: text(4096)
    .optional()
    .describe('A YUMA almanac, relative to this file; default: the reference constellation'),
  // Known to the format, not to this version: read so that the message can say so, and left out of the JSON Schema.
  navigation: z
    .unknown()
    .superRefine((value, context) => {
      if (value === undefined) return;
      const expected = 'almanac: with a YUMA almanac, or neither, for the reference constellation';
      context.issues.push(
        issue(value, { kind: 'unsupported', expected, summary: 'this version does not read navigation files' }),
      );
    })
    .optional(),
  shift: z.boolean().default(false).describe('True: an almanac over 180 days from the start is moved there'),
  'out-of-service': z
    .array(satellite(), listOf('satellites such as G05'))
    .default([])
    .describe('Satellites that send nothing'),
});

const WHEN = {
  at: quantity('duration', { min: 0, max: MAX_DURATION_S }).describe('When it begins, after the start'),
  for: quantity('duration', { exclusiveMin: 0, max: MAX_DURATION_S })
    .optional()
    .describe('How long it is in force; default: to the end'),
};

/** What all kinds of fault have in common for the schema. */
type AnyKind = Pick<FaultKind, 'name' | 'title'> & { readonly settings: z.ZodType };

/** An entry of the timeline as the file has it. */
export interface RawEntry {
  readonly at: number;
  readonly for?: number;
  readonly fault?: string;
  readonly with?: unknown;
  readonly surroundings?: Surroundings;
}

function timelineEntry(kinds: readonly AnyKind[]) {
  const faults = kinds.map(({ name, title, settings }) =>
    strict(
      { ...WHEN, fault: z.literal(name).describe(title), with: settings.prefault({}).describe('Its settings') },
      ENTRY_KINDS,
    ),
  );
  const surroundings = strict(
    {
      ...WHEN,
      surroundings: z.enum(SURROUNDINGS).describe('What stands around the antenna for that time'),
    },
    ENTRY_KINDS,
  );
  const select = (value: unknown): number | ChoiceProblem => {
    const index = byKey('an entry of the timeline', ENTRY_KINDS, ['at', 'for', 'with'])(value);
    if (index !== 0) return index === 1 ? faults.length : index;
    const word = (value as { fault: unknown }).fault;
    const found = kinds.findIndex(({ name }) => name === word);
    if (found >= 0) return found;
    return { kind: 'unknown-word', at: 'fault', expected: 'the name of a fault', words: kinds.map(({ name }) => name) };
  };
  return choice([...faults, surroundings] as z.ZodType<RawEntry>[], select);
}

const selectModule = (value: unknown): number | ChoiceProblem => {
  if (typeof value === 'string') return 0;
  if (typeof value === 'object' && value !== null && !Array.isArray(value)) return 1;
  return { kind: 'type', expected: 'the name of a module, a file (./mine.yaml), or a mapping with its settings' };
};

/** The definition of a scenario file; `kinds` are the faults that its timeline may name. */
export function scenarioSchema(kinds: readonly AnyKind[]) {
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
      'elevation-mask': quantity('angle', { min: 0, max: 90 }).optional().describe('Satellites below it are not used'),
      antenna: z.enum(ANTENNAS).optional().describe("Instead of the module's"),
      channels: whole(1, 500).optional().describe('Signals searched or tracked at a time'),
    })
      .prefault({})
      .describe("What differs from the module's receiver"),
    sky: SKY.prefault({}).describe('The satellites'),
    errors: z.enum(['realistic', 'none']).default('realistic').describe('none: the measurements are exact'),
    surroundings: z.enum(SURROUNDINGS).default('open').describe('What stands around the antenna'),
    route: ROUTE.describe('Where the antenna goes'),
    timeline: z.array(timelineEntry(kinds), listOf('entries')).default([]).describe('What happens on the way'),
  });
}

/** What the schema gives. */
export type RawScenario = z.output<ReturnType<typeof scenarioSchema>>;
