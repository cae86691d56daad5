import { ModuleRun } from '../run/module-run.js';
import { describeScenario } from '../scenario/describe.js';
import { buildTrajectory } from '../sim/trajectory/build-trajectory.js';
import { CAUTION } from './caution.js';
import { loadScenario, nextWholeSecond } from './load.js';

/** `lodestub check`: reads the scenario as a run would, and says what it will do. */
export async function checkCommand(name: string): Promise<void> {
  const scenario = await loadScenario(name, {});
  new ModuleRun(scenario, { now: nextWholeSecond().utc, send: () => {} });
  process.stderr.write(`${CAUTION}\n`);
  process.stdout.write(`${describeScenario(scenario, buildTrajectory(scenario.route).durationS)}\n`);
}
