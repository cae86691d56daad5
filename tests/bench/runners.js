/*
 * The work that `timed.js` times.
 */
import { join } from 'node:path';
import { ecefFromGeodetic } from '../../dist/base/frames.js';
import { openFilePort } from '../../dist/emit/ports/file-port.js';
import { LineFile } from '../../dist/emit/ports/line-file.js';
import { writeSentences } from '../../dist/emit/sentences/registry.js';
import { ModuleRun } from '../../dist/run/module-run.js';
import { playFlatOut } from '../../dist/run/play.js';
import { skyOf } from '../../dist/run/satellites.js';
import { loadScenarioFile } from '../../dist/scenario/read.js';
import { Sky } from '../../dist/sim/sky/sky.js';

const RAD_PER_DEG = Math.PI / 180;

/** Writes so many epochs as `lodestub write` does. */
export function writeRunner(scenarioPath, folder, withJournal = false) {
  return async (epochs) => {
    const scenario = await loadScenarioFile(scenarioPath, { durationS: epochs });
    const port = await openFilePort(join(folder, 'write.nmea'), {}, { force: true });
    const journal = withJournal ? LineFile.open(join(folder, 'write.jsonl'), { force: true, isOwn: () => true }) : null;
    const run = new ModuleRun(scenario, {
      now: scenario.start,
      send: (bytes) => port.writeLatin1(bytes),
      ...(journal === null ? {} : { journal: (line) => journal.append(`${line}\n`) }),
    });
    await playFlatOut(run, { isStopped: false });
    run.finish();
    journal?.close();
    await port.close();
  };
}

/**
 * Looks at the same satellites at each epoch, and writes the same sentences from reports that are ready: what a stream
 * cannot do without.
 */
export async function floorRunner(scenarioPath) {
  const { reports, scenario, truth } = await readyReports(scenarioPath);
  const { module } = scenario;
  const names = module.sentences.map(({ name }) => name);
  const sky = new Sky(skyOf(scenario, scenario.start, 86_400).satellites);
  const { latitudeDeg, longitudeDeg, heightEllipsoidM } = truth;
  const antenna = {
    position: ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: heightEllipsoidM }),
    velocity: { xM: 0, yM: 0, zM: 0 },
    latitudeRad: latitudeDeg * RAD_PER_DEG,
    longitudeRad: longitudeDeg * RAD_PER_DEG,
  };
  let bytes = 0;
  return async (epochs) => {
    for (let second = 0; second < epochs; second++) {
      sky.look(second, antenna);
      const report = reports[second % reports.length];
      for (const sentence of writeSentences(report, module.style, names)) bytes += sentence.length;
    }
    // Used, so that none of it can be left out.
    if (bytes === 0) throw new Error('no sentences');
  };
}

/** An hour's reports of a run of the scenario, and where the antenna is. */
async function readyReports(scenarioPath) {
  const scenario = await loadScenarioFile(scenarioPath, { durationS: 3600 });
  const epochs = [];
  const onStep = ({ epoch }) => epochs.push(epoch);
  new ModuleRun(scenario, { now: scenario.start, send: () => {}, onStep }).advanceTo(Infinity);
  const reports = epochs.map(({ report }) => report).filter(({ fix }) => fix === '3d');
  if (reports.length < 3000) throw new Error('no fix most of the time');
  return { reports, truth: epochs[0].truth, scenario };
}
