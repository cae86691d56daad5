import { z } from 'zod';
import { quantity } from '../base/quantity-schema.js';
import { FAULT_KINDS } from '../faults/registry.js';
import { MAX_DURATION_S, MAX_SEED } from '../scenario/bounds.js';
import { type ChoiceProblem, choice, strict, text, whole } from '../scenario/fields.js';
import { timelineEntry } from '../scenario/scenario-schema.js';
import { EXPECTATION_SCHEMA } from './expectations/expectation-schema.js';
import { HOST_SCHEMA } from './host/host-schema.js';
import { REPORTS_SCHEMA } from './reports/reports-schema.js';

const listOf = (what: string) => ({ error: `expected a list of ${what}` });

/** One value, or a list of them: an axis of the matrix. */
function axis<Value extends z.ZodType>(value: Value, what: string) {
  const variants = [value, z.array(value, listOf(what)).min(1, listOf(what))] as const;
  return choice(variants, (input) => (Array.isArray(input) ? 1 : 0));
}

const setNameError = 'expected a name of small letters, digits and hyphens that begins with a letter, such as tunnel';

const FAULT_SETS = z
  .record(
    z.string().regex(/^[a-z][a-z0-9-]{0,39}$/, { error: setNameError }),
    z.array(timelineEntry(FAULT_KINDS), listOf('entries of a timeline')),
    { error: 'expected a mapping of names, each with a list of entries of a timeline' },
  )
  .refine((sets) => Object.keys(sets).length > 0, { error: 'expected one set of faults or more' });

const EXCLUDED = strict({
  scenario: axis(text(4096), 'scenarios').optional(),
  module: axis(text(4096), 'modules').optional(),
  seed: axis(whole(0, MAX_SEED), 'seeds').optional(),
  faults: axis(text(40), 'names of sets of faults').optional(),
});

const selectPace = (value: unknown): number | ChoiceProblem => {
  if (typeof value === 'number') return 0;
  if (typeof value === 'string') return 1;
  if (typeof value === 'object' && value !== null && !Array.isArray(value)) return 2;
  return { kind: 'type', expected: 'a factor from 0.01 to 1000, in-step, or { in-step: 2 s }' };
};

const paceError = 'expected a factor from 0.01 to 1000';

/** How long a step waits for the host's report at most. */
const PATIENCE = '2 s';

const PACE = choice(
  [
    z.number({ error: paceError }).min(0.01, { error: paceError }).max(1000, { error: paceError }),
    z.literal('in-step', { error: 'expected a factor from 0.01 to 1000, or in-step' }),
    strict({
      'in-step': quantity('duration', { exclusiveMin: 0, max: 600 })
        .prefault(PATIENCE)
        .describe('How long each epoch waits for the host’s report at most'),
    }),
  ] as const,
  selectPace,
);

/** The definition of a trial's file. */
export const TRIAL_SCHEMA = strict({
  'lodestub-trial': z.literal(1, { error: 'expected 1' }).describe('Version of this format: 1'),
  title: text(120).optional().describe('What it is about, one line'),
  scenario: axis(text(4096), 'scenarios').describe('A scenario by name, a file, or a list of them'),
  module: axis(text(4096), 'modules').optional().describe('A module profile or a list; default: the scenario’s own'),
  seed: axis(whole(0, MAX_SEED), 'seeds').optional().describe('A seed or a list; default: the scenario’s own'),
  faults: FAULT_SETS.optional().describe('Named sets of entries for the timeline, each a case of its own'),
  exclude: z.array(EXCLUDED, listOf('mappings with the keys scenario, module, seed, faults')).default([]),
  duration: quantity('duration', { exclusiveMin: 0, max: MAX_DURATION_S })
    .optional()
    .describe('Default: the scenario’s'),
  pace: PACE.default(1).describe('Times real time, or in step with the host’s reports'),
  host: HOST_SCHEMA,
  port: text(4096).optional().describe('For a host that runs already: pty, a serial device, tcp:PORT'),
  link: text(4096).optional().describe('A symbolic link to the pty, for a host that runs already'),
  'open-within': quantity('duration', { exclusiveMin: 0, max: 600 })
    .prefault('10 s')
    .describe('How long the start waits for the host to open the port'),
  settle: quantity('duration', { min: 0, max: 600 })
    .prefault('1 s')
    .describe('How long the host has for its last reports, by the machine’s clock'),
  reports: REPORTS_SCHEMA,
  expect: z.array(EXPECTATION_SCHEMA, listOf('expectations')).min(1, listOf('one expectation or more')),
});

/** What the schema gives. */
export type RawTrial = z.output<typeof TRIAL_SCHEMA>;
