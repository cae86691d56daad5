/*
 * Measures what speed and memory are promised on, and prints one JSON line a figure: {"figure","value","unit"}.
 * use: npm run bench [-- PART...]
 * parts: floor, journal, process, first-byte, lateness, memory, outside; default: all
 *
 * Everywhere but in `outside`: GPS alone, an antenna at rest under an open sky, hot start, the module single-band-9600
 * with all seven sentences every second. Absolute speeds depend on the machine and on what else it does; ratios are of
 * two things done in turn in the same run, and the median over the rounds is told.
 *
 *   write-epochs-per-s          in a process of its own after a warm-up, into a file, journal off; required: 20,000
 *   floor-epochs-per-s          bare cost of the same, likewise: the look angles of the same satellites at each epoch,
 *                               and the same sentences from an hour of ready reports
 *   write-to-floor              time of an epoch written to that of the bare cost; asked: at most 2.0
 *   journal-cost                time of an epoch written with the journal to that without
 *   write-process-epochs-per-s  `lodestub write` of a day as a process, start-up and compilation included
 *   first-byte-pty-s            from the command `lodestub run` to the first byte that a host reads from its pty,
 *                               median of 5; required: at most 0.5
 *   first-byte-stdout-s         the same with --port stdout
 *   lateness-p50-ms, -p99-ms    at 9600 baud over 15 s: from the end of a byte's stop bit to when a host in another
 *                               process has read it; up to 1 ms too much, since `started:` is rounded down
 *   resident-1-day-mb, -30-day  resident memory of `lodestub write` at the end of 1 and of 30 days
 *   write-four-…, outside-…     four systems, two bands, against an outside solver: see outside-solver.js
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { outsideSolver } from './outside-solver.js';
import { firstByteS, lateness, memoryMb, processSpeed } from './processes.js';

const ROUNDS = 5;
const EPOCHS = 80_000;

const TIMED = fileURLToPath(new URL('timed.js', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'lodestub-bench-'));
const scenario = join(folder, 'bench.yaml');
writeFileSync(
  scenario,
  'lodestub: 1\nseed: 1\nstart: 2026-02-02T08:00:00Z\nreceiver: { start: hot }\n' +
    'route:\n  - { hold: 60 d, at: [52.375, 9.72, 84 m] }\n',
);

function report(figure, value, unit) {
  console.log(JSON.stringify({ figure, value: Number(value.toPrecision(4)), unit }));
}

function median(values) {
  return [...values].sort((a, b) => a - b)[values.length >> 1];
}

/** Times each kind of work in turn, round after round. @returns the times for EPOCHS, s, by kind and round */
function inTurn(...kinds) {
  const times = kinds.map(() => []);
  for (let round = 0; round < ROUNDS; round++) {
    for (const [index, kind] of kinds.entries()) {
      const args = [TIMED, kind, scenario, folder, String(EPOCHS)];
      times[index].push(Number(execFileSync(process.execPath, args, { encoding: 'utf8' })));
    }
  }
  return times;
}

const ratios = (above, below) => above.map((time, round) => time / below[round]);

const PARTS = {
  async floor() {
    const [written, bare] = inTurn('write', 'floor');
    report('write-epochs-per-s', EPOCHS / median(written), 'epochs/s');
    report('floor-epochs-per-s', EPOCHS / median(bare), 'epochs/s');
    report('write-to-floor', median(ratios(written, bare)), 'ratio');
  },
  async journal() {
    const [withIt, without] = inTurn('journal', 'write');
    report('journal-cost', median(ratios(withIt, without)), 'ratio');
  },
  async process() {
    report('write-process-epochs-per-s', await processSpeed(scenario, folder), 'epochs/s');
  },
  async 'first-byte'() {
    report('first-byte-pty-s', median(await firstByteS(scenario, 'pty', 5)), 's');
    report('first-byte-stdout-s', median(await firstByteS(scenario, 'stdout', 5)), 's');
  },
  async lateness() {
    const late = await lateness(scenario, folder, 15);
    report('lateness-p50-ms', late[Math.floor(late.length * 0.5)], 'ms');
    report('lateness-p99-ms', late[Math.floor(late.length * 0.99)], 'ms');
  },
  async memory() {
    report('resident-1-day-mb', await memoryMb(scenario, folder, 1), 'MB');
    report('resident-30-day-mb', await memoryMb(scenario, folder, 30), 'MB');
  },
  async outside() {
    const rounds = await outsideSolver(folder);
    if (rounds === null) {
      console.log(
        JSON.stringify({ figure: 'write-to-outside', skipped: 'rnx2rtkp (Debian: rtklib) is not installed' }),
      );
      return;
    }
    report('write-four-epochs-per-s', median(rounds.map(({ ours }) => ours)), 'epochs/s');
    report('outside-epochs-per-s', median(rounds.map(({ theirs }) => theirs)), 'epochs/s');
    report('write-to-outside', median(rounds.map(({ ratio }) => ratio)), 'ratio');
  },
};

const asked = process.argv.slice(2);
try {
  for (const [name, measure] of Object.entries(PARTS)) {
    if (asked.length === 0 || asked.includes(name)) await measure();
  }
} finally {
  rmSync(folder, { recursive: true });
}
