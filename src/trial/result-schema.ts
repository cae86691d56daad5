import { z } from 'zod';
import type { TrialResult } from './result.js';

const NUMBER_OR_NULL = z.number().nullable();
const POINT = z.looseObject({ atMs: z.number(), latitudeDeg: z.number(), longitudeDeg: z.number() });
const MOMENT = z.looseObject({
  atMs: z.number(),
  what: z.string(),
  report: NUMBER_OR_NULL,
  sentenceMs: z.number().optional(),
});
const LINE = z.looseObject({ atMs: z.number(), from: z.enum(['stdout', 'stderr', 'reports']), text: z.string() });

const JUDGED = z.looseObject({
  name: z.string(),
  kind: z.string(),
  verdict: z.enum(['passed', 'failed', 'untested']),
  reason: z.string(),
  measured: NUMBER_OR_NULL,
  tests: z.number(),
  moments: z.array(MOMENT),
  surroundings: z.array(
    z.looseObject({
      moment: MOMENT,
      sentences: z.array(
        z.looseObject({ startMs: z.number(), endMs: z.number(), text: z.string(), faults: z.array(z.string()) }),
      ),
      said: z.array(LINE),
    }),
  ),
});

const DRAWING = z.looseObject({
  truth: z.array(POINT),
  module: z.array(POINT),
  reports: z.array(POINT.extend({ truthErrorM: NUMBER_OR_NULL, moduleErrorM: NUMBER_OR_NULL })),
  faults: z.array(
    z.looseObject({
      id: z.string(),
      kind: z.string(),
      beginMs: z.number(),
      endMs: z.number(),
      with: z.record(z.string(), z.unknown()),
    }),
  ),
});

const CASE = z.looseObject({
  id: z.string(),
  scenario: z.string(),
  module: z.string(),
  seed: z.number(),
  faults: z.string(),
  verdict: z.enum(['passed', 'failed', 'broken']),
  problem: z.string().nullable(),
  judged: z.array(JUDGED),
  reports: z.number(),
  badReports: z.number(),
  otherLines: z.number(),
  firstOther: z.string().nullable(),
  firstBad: z.looseObject({ text: z.string(), why: z.string() }).nullable(),
  startUtc: z.string(),
  lengthMs: z.number(),
  tookMs: z.number(),
  command: z.string(),
  drawing: DRAWING,
  lines: z.array(LINE),
});

/** What a trial's result is, as `--json` has written it; other keys are left as they are. */
export const RESULT: z.ZodType<TrialResult> = z.looseObject({
  lodestubTrial: z.literal(1),
  version: z.string(),
  title: z.string(),
  file: z.string(),
  digest: z.string(),
  casesInAll: z.number(),
  shard: z.string().nullable(),
  casesAsked: z.number(),
  cases: z.array(CASE),
});
