import { LodestubError } from '../base/error.js';
import type { CaseResult, TrialResult } from './result.js';
import type { Trial } from './trial.js';

/** A part of a trial, and the file that it was read from. */
export interface Part {
  readonly file: string;
  readonly result: TrialResult;
}

/**
 * Joins the results of a trial's shards, in the trial's own order.
 * @throws LodestubError `trial.other-part` for a part of another trial or version, `trial.part-missing` where a case is
 *   in no part, `trial.part-twice` where one is in two
 */
export function mergeParts(trial: Trial, parts: readonly Part[]): CaseResult[] {
  const found = new Map<string, { readonly file: string; readonly result: CaseResult }>();
  for (const { file, result } of parts) {
    if (result.digest !== trial.digest) {
      throw new LodestubError({
        code: 'trial.other-part',
        path: file,
        expected: `a part of ${trial.file} as it is now, with the digest ${trial.digest}`,
        received: `a part of ${result.file} with ${result.digest}, by version ${result.version}`,
        hint: 'Play that shard again: the trial, a file that it names, or the version has changed.',
      });
    }
    for (const each of result.cases) {
      const before = found.get(each.id);
      if (before !== undefined) {
        const received = `the case ${each.id} in ${before.file} too`;
        throw new LodestubError({ code: 'trial.part-twice', path: file, expected: 'cases of its own', received });
      }
      found.set(each.id, { file, result: each });
    }
  }
  const missing = trial.cases.filter(({ id }) => !found.has(id));
  const [first] = missing;
  if (first !== undefined) {
    const more = missing.length > 1 ? ` and ${missing.length - 1} more` : '';
    throw new LodestubError({
      code: 'trial.part-missing',
      path: trial.file,
      expected: `results of all ${trial.cases.length} cases`,
      received: `none of ${first.id}${more}`,
      hint: 'Name the JSON files of all shards.',
    });
  }
  return trial.cases.map(({ id }) => (found.get(id) as { readonly result: CaseResult }).result);
}
