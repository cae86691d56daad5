/*
 * Compares the speed of `lodestub write` with that of RTKLIB's rnx2rtkp (Debian's package rtklib) on the same epochs:
 * single point positions, the cheapest way that it has, from RINEX files of the run.
 * It is the part `outside` of `bench.js`, which prints its figures.
 *
 * Four systems, two bands, every sentence every second, an antenna that moves under an open sky; RINEX and journal off
 * while `write` is timed. Both are timed in turn, and the median over the rounds is told.
 *
 *   write-four-epochs-per-s   in a process of its own after a warm-up, into a file; required: 8,000
 *   outside-epochs-per-s      rnx2rtkp as a process, reading the files included
 *   write-to-outside          ratio of the two speeds; required: at least 3
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { ModuleRun } from '../../dist/run/module-run.js';
import { playFlatOut } from '../../dist/run/play.js';
import { RinexFiles, rinexPaths } from '../../dist/run/rinex.js';
import { loadScenarioFile } from '../../dist/scenario/read.js';

const ROUNDS = 3;
const EPOCHS = 10_000;
/** Where it solves fewer, the two have not done the same. */
const SOLVED = 0.99;
/** GPS, GLONASS, Galileo and BeiDou in rnx2rtkp's numbers. */
const FOUR_SYSTEMS = 1 + 4 + 8 + 32;

const SCENARIO = `
lodestub: 1
seed: 1
start: 2026-02-02T08:00:00Z
receiver: { start: hot }
sky: { systems: [gps, glonass, galileo, beidou] }
module:
  lodestub-module: 1
  title: Four systems, two bands, every sentence
  baud: 921600
  rate: 1 Hz
  version: 4.11
  transmit-buffer: 16384
  long-lines: true
  sentences: { RMC: 1, GGA: 1, GNS: 1, GSA: 1, GSV: 1, VTG: 1, GLL: 1, ZDA: 1, GST: 1, GRS: 1, GBS: 1 }
  receiver: { elevation-mask: 5 deg, channels: 184, bands: [L1, L5] }
route:
  - { hold: 60 s, at: [52.375, 9.72, 84 m] }
  - { go: [53.375, 9.72], speed: 30 km/h }
`;

const CONFIGURATION = `pos1-posmode=single
pos1-elmask=5
pos1-ionoopt=off
pos1-tropopt=off
pos1-navsys=${FOUR_SYSTEMS}
out-solformat=xyz
`;

/**
 * @param folder for files, which are left there
 * @returns epochs a second of `write` and of rnx2rtkp, and their ratio, by round; null where rnx2rtkp is missing
 */
export async function outsideSolver(folder) {
  if (spawnSync('rnx2rtkp', ['-?']).error !== undefined) return null;
  const scenario = join(folder, 'outside.yaml');
  const configuration = join(folder, 'outside.conf');
  writeFileSync(scenario, SCENARIO);
  writeFileSync(configuration, CONFIGURATION);
  const { paths, epochs } = await writeRinex(scenario, folder);
  const timed = fileURLToPath(new URL('timed.js', import.meta.url));
  const rounds = [];
  for (let round = 0; round < ROUNDS; round++) {
    const arguments_ = [timed, 'write', scenario, folder, String(EPOCHS)];
    const oursS = Number(execFileSync(process.execPath, arguments_, { encoding: 'utf8' }));
    const startMs = performance.now();
    const output = join(folder, 'outside.pos');
    execFileSync('rnx2rtkp', ['-k', configuration, '-o', output, ...paths], { stdio: 'ignore' });
    const theirsS = (performance.now() - startMs) / 1000;
    const solved = readFileSync(output, 'latin1')
      .split('\n')
      .filter((line) => /^\d/.test(line)).length;
    if (solved < epochs * SOLVED) throw new Error(`rnx2rtkp solved ${solved} of ${epochs} epochs`);
    const [ours, theirs] = [EPOCHS / oursS, epochs / theirsS];
    rounds.push({ ours, theirs, ratio: ours / theirs });
  }
  return rounds;
}

/** RINEX files of the run; tells how many epochs stand in them. */
async function writeRinex(scenarioPath, folder) {
  const scenario = await loadScenarioFile(scenarioPath, { durationS: EPOCHS });
  let files = null;
  let epochs = 0;
  const run = new ModuleRun(scenario, {
    now: scenario.start,
    send: () => {},
    withObservations: true,
    onStep: ({ epoch }) => {
      files.add(epoch);
      if (epoch.observations.length > 0) epochs++;
    },
  });
  const paths = rinexPaths(folder, scenario, run);
  files = new RinexFiles(folder, paths, true, scenario, run);
  await playFlatOut(run, { isStopped: false });
  files.close();
  return { paths, epochs };
}
