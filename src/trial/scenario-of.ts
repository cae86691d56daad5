import { readScenario } from '../scenario/read.js';
import type { Scenario } from '../scenario/scenario.js';
import type { TrialCase } from './trial.js';

/** The scenario of a case, as it is played. @throws LodestubError */
export async function scenarioOf({ source, baseFolder }: TrialCase): Promise<Scenario> {
  const options = { file: source.file as string, baseFolder, overrides: source.changes };
  return readScenario(source.text, options);
}
