import { createHash } from 'node:crypto';
import { VERSION } from '../base/version.js';
import type { Scenario } from '../scenario/scenario.js';
import { loadPlan, type ReadPlan, readPlan } from './read-plan.js';
import type { Trial } from './trial.js';
import { readCases } from './trial-cases.js';

/**
 * Reads a trial's file, and every scenario and module that it names: each case can be played.
 * @throws LodestubError `trial.…`, and what a scenario or module of it gives
 */
export async function loadTrial(path: string): Promise<Trial> {
  return withCases(await loadPlan(path));
}

/**
 * Reads a trial from its text.
 * @param file its name, for messages
 * @param baseFolder where the files that it names are looked for
 * @throws LodestubError as {@link loadTrial}
 */
export async function readTrial(text: string, file: string, baseFolder: string): Promise<Trial> {
  return withCases(readPlan(text, file, baseFolder));
}

async function withCases(read: ReadPlan): Promise<Trial> {
  const { cases, played } = await readCases(read);
  return { ...read.plan, digest: digestOf(read.plan.textDigest, played), cases };
}

/** Of the trial and of all that is played, files that scenarios name included; of a recording its name and length. */
function digestOf(textDigest: string, played: readonly Scenario[]): string {
  const hash = createHash('sha256').update(VERSION).update(textDigest);
  for (const { source, module, sky, route, recording } of played) {
    const parts = [source.text, module, sky.almanac?.text, sky.navigation?.text, route, recording];
    for (const part of parts) hash.update('\0').update(JSON.stringify(part) ?? '');
  }
  return hash.digest('hex').slice(0, 16);
}
