import { ModuleRun } from '../run/module-run.js';
import { nextWholeSecond } from '../run/start-time.js';
import { describeScenario } from '../scenario/describe.js';
import { CAUTION } from './caution.js';
import { loadScenario } from './load.js';

/** `lodestub check`: reads the scenario as a run would, and says what it will do. */
export async function checkCommand(name: string): Promise<void> {
  const scenario = await loadScenario(name, {});
  new ModuleRun(scenario, { now: nextWholeSecond().utc, send: () => {} });
  process.stderr.write(`${CAUTION}\n`);
  process.stdout.write(`${describeScenario(scenario)}\n`);
}
