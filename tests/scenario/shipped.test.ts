import { expect, it } from 'vitest';
import { describeScenario } from '../../src/scenario/describe.js';
import { loadScenarioFile } from '../../src/scenario/read.js';
import { listModules, listScenarios } from '../../src/scenario/shipped.js';
import { buildTrajectory } from '../../src/sim/trajectory/build-trajectory.js';
import { geodesicBetween } from '../../src/sim/trajectory/geodesy.js';

it('x', async () => {
  for (const [name, step, marks] of [
    ['harbour-pilot', 30, []],
    ['walk', 20],
    ['drive', 10],
  ] as const) {
    const s = await loadScenarioFile(name);
    const t = buildTrajectory(s.route);
    console.log(describeScenario(s, t.durationS));
    let out = '';
    for (let k = 0; k < t.durationS; k += step) {
      const m = t.at(k);
      out += `${Math.floor(k / 60)}:${k % 60} ${m.latitudeDeg.toFixed(5)},${m.longitudeDeg.toFixed(5)} ${m.speedMps.toFixed(1)} ${m.courseDeg.toFixed(0)} ${m.altitudeMslM.toFixed(0)}\n`;
    }
    console.log(out);
  }
});
