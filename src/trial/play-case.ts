import { join } from 'node:path';
import { openPort, parsePortSpec } from '../emit/ports/open-port.js';
import type { ModulePort } from '../emit/ports/port.js';
import { RealClock } from '../run/clock.js';
import { ModuleRun } from '../run/module-run.js';
import { play, type StopSignal } from '../run/play.js';
import { nextWholeSecond, untilUnixMs } from '../run/start-time.js';
import type { Scenario } from '../scenario/scenario.js';
import { fileNameOf, freshFolder, type KeptFiles, keepFiles } from './case-files.js';
import { CaseWitness } from './case-witness.js';
import { HostProcess } from './host/host-process.js';
import { placeholdersOf } from './host/placeholders-of.js';
import { playInStep, STEP_PACE } from './play-in-step.js';
import { scenarioOf } from './read-trial.js';
import { openReports, type ReportSource } from './reports/report-source.js';
import type { CaseResult } from './result.js';
import { resultOf } from './result-of.js';
import type { Trial, TrialCase } from './trial.js';

/** How often it is looked whether a host has come, ms. */
const LOOK_MS = 10;

/** A case, and what it needs of whoever plays it. */
export interface CaseParts {
  readonly trial: Trial;
  readonly one: TrialCase;
  /** Null: nothing is kept. */
  readonly keepFolder: string | null;
  readonly stop: StopSignal;
  /** Called as it goes on. */
  readonly reached: (atMs: number, ofMs: number) => void;
}

/**
 * Plays a case: starts the host, lets it open the module's port, plays the scenario to its end, and judges what is on
 * record. Whatever happens, the host's processes have ended and the port is free when it returns.
 * @throws LodestubError where it cannot be played: no such program, a port that is taken
 */
export async function playCase(parts: CaseParts): Promise<CaseResult> {
  const begunMs = performance.now();
  const { trial, one } = parts;
  const scenario = await scenarioOf(one);
  const folder = freshFolder();
  const kept = keepFiles(parts.keepFolder, one.id);
  try {
    const { evidence, problem } = await stage(parts, scenario, folder.path, kept);
    return resultOf({ trial, one, evidence, problem, tookMs: performance.now() - begunMs });
  } finally {
    kept.close();
    folder.remove();
  }
}

/** All that a case needs while it is played. */
interface Stage {
  readonly clock: RealClock;
  readonly witness: CaseWitness;
  readonly run: ModuleRun;
  readonly source: ReportSource;
  /** Null: it runs already. */
  readonly host: HostProcess | null;
}

/** Puts everything up, plays, and takes everything down again. */
async function stage(parts: CaseParts, scenario: Scenario, folder: string, kept: KeptFiles) {
  const { trial, one } = parts;
  const clock = new RealClock(trial.pace.kind === 'steady' ? trial.pace.factor : STEP_PACE);
  const witness = new CaseWitness(clock, kept, !['stdout', 'stderr'].includes(trial.reports.from.kind));
  let failure: Error | null = null;
  const failed = (error: Error) => {
    failure ??= error;
  };
  const stop: StopSignal = {
    get isStopped() {
      return parts.stop.isStopped || failure !== null;
    },
  };
  const linkPath = trial.host === 'already-running' ? trial.link : join(folder, 'gnss');
  let run: ModuleRun | null = null;
  const port = await openCasePort(trial, scenario, linkPath, {
    hostBytes: (bytes) => run?.hear(bytes, clock.nowMs()),
    hostEvent: (event) => {
      witness.hostEvent(event);
      run?.noteHost(event, clock.nowMs());
    },
    portEvent: (event) => run?.notePort(event, clock.nowMs()),
    failed,
  });
  let source: ReportSource | null = null;
  let host: HostProcess | null = null;
  try {
    const { baseFolder } = trial;
    const own = { case: fileNameOf(one.id), folder };
    const opened = await openReports(trial.reports, witness, witness, { baseFolder, values: own });
    source = opened;
    const begin = nextWholeSecond();
    run = new ModuleRun(scenario, {
      now: begin.utc,
      send: (bytes) => {
        witness.sent();
        kept.stream(bytes);
        port.write(Buffer.from(bytes, 'latin1'));
      },
      journal: (line) => witness.journal(line),
      failed,
      port,
    });
    witness.startUtc = run.startUtc;
    const values = { ...own, ...valuesOf(port, linkPath, scenario), ...reportsValue(opened) };
    if (trial.host !== 'already-running') {
      host = new HostProcess(trial.host, witness.listenTo(opened, failed), { baseFolder, values });
      await host.start();
    }
    const ready = { clock, witness, run, source: opened, host };
    await waitForHost(trial, ready, stop);
    if (scenario.start === 'now') await untilUnixMs(begin.unixMs, stop);
    await perform(parts, ready, stop);
  } finally {
    // The host first: that its port goes is no failure that it was to stand.
    await host?.stop();
    await source?.close();
    run?.finish();
    await port.close();
  }
  if (failure !== null) throw failure;
  return { evidence: witness.finish(run.endMs), problem: witness.problemWith(source.hint()) };
}

function openCasePort(
  trial: Trial,
  { module }: Scenario,
  linkPath: string | null,
  listener: Parameters<typeof openPort>[2],
): Promise<ModulePort> {
  const asked = trial.host === 'already-running' ? (trial.port ?? 'pty') : null;
  const wants = trial.host === 'already-running' ? [] : placeholdersOf(trial.host);
  const spec = parsePortSpec(asked ?? (wants.includes('tcp') ? 'tcp:0' : 'pty'));
  const link = spec.kind === 'pty' && linkPath !== null ? { linkPath } : {};
  return openPort(spec, { baud: module.baud, ...link }, listener);
}

/** What the host is told of the port. */
function valuesOf(port: ModulePort, linkPath: string | null, { module }: Scenario) {
  const baud = `${module.baud}`;
  if (port.name.startsWith('tcp:')) return { baud, tcp: port.name.slice('tcp:'.length) };
  return { baud, port: port.name, ...(linkPath === null ? {} : { link: linkPath }) };
}

function reportsValue({ address }: ReportSource) {
  return address === null ? {} : { reports: address };
}

/**
 * Waits until the host is ready: by what it says, or by having opened the port. One that has not come in time is played
 * to all the same: what it does then is what it does.
 * @throws LodestubError `trial.host-ended`, `trial.host-not-ready`
 */
async function waitForHost(trial: Trial, { witness, host }: Stage, stop: StopSignal): Promise<void> {
  if (trial.host !== 'already-running' && trial.host.ready !== null) {
    await host?.ready();
    return;
  }
  const untilMs = performance.now() + trial.openWithinMs;
  const isGone = () => host !== null && !host.isRunning && trial.host !== 'already-running' && !trial.host.restart;
  while (!witness.hasOpened && !stop.isStopped && !isGone() && performance.now() < untilMs) await sleep(LOOK_MS);
  if (!witness.hasOpened && host !== null && isGone()) throw host.endedEarly('it had opened the port');
  if (!witness.hasOpened && !stop.isStopped) witness.neverOpened(trial.openWithinMs);
}

/** From tick 0 to the last report. */
async function perform(parts: CaseParts, { clock, witness, run, host }: Stage, stop: StopSignal): Promise<void> {
  const { pace, settleMs } = parts.trial;
  const lengthMs = run.epochCount * run.epochMs;
  const progress = setInterval(() => parts.reached(clock.nowMs(), lengthMs), 200);
  witness.start();
  clock.start();
  try {
    if (pace.kind === 'steady') await play(run, clock, stop);
    else {
      const isGone = () => host !== null && !host.isRunning;
      const { patienceMs } = pace;
      await playInStep(run, clock, stop, { reports: () => witness.reports, isGone, patienceMs });
    }
    clock.pause();
    const untilMs = performance.now() + settleMs;
    while (performance.now() < untilMs && !stop.isStopped && (host?.isRunning ?? true)) await sleep(LOOK_MS);
  } finally {
    clearInterval(progress);
  }
}

function sleep(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
