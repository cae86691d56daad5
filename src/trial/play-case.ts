import { join } from 'node:path';
import { utcMsOf } from '../base/utc-ms.js';
import { openPort, type PortSpec, parsePortSpec } from '../emit/ports/open-port.js';
import type { ModulePort, PortListener } from '../emit/ports/port.js';
import { RealClock } from '../run/clock.js';
import { ModuleRun } from '../run/module-run.js';
import { play, type StopSignal } from '../run/play.js';
import { checkDemands } from '../run/port-deeds.js';
import { nextWholeSecond, untilUnixMs } from '../run/start-time.js';
import type { Scenario } from '../scenario/scenario.js';
import { fileNameOf, freshFolder, type KeptFiles, keepFiles } from './case-files.js';
import { CaseWitness } from './case-witness.js';
import type { Evidence } from './evidence.js';
import { type HostLife, HostProcess } from './host/host-process.js';
import { placeholdersOf } from './host/placeholders-of.js';
import { playInStep, STEP_PACE } from './play-in-step.js';
import { openReports, type ReportSource } from './reports/report-source.js';
import type { CaseResult } from './result.js';
import { resultOf } from './result-of.js';
import { scenarioOf } from './scenario-of.js';
import type { TrialCase, TrialPlan } from './trial.js';

/** How often it is looked whether a host has come, ms. */
const LOOK_MS = 10;
/** How often it is told how far the case has come, ms. */
const TOLD_EVERY_MS = 200;

/** Ports that tell when a host opens them; at the end of others nobody can be seen. */
const OPENING_TOLD: readonly PortSpec['kind'][] = ['pty', 'tcp'];

/** A case, and what it needs of whoever plays it. */
export interface CaseParts {
  readonly plan: TrialPlan;
  readonly one: TrialCase;
  /** Null: nothing is kept. */
  readonly keepFolder: string | null;
  readonly stop: StopSignal;
  /** Called as it goes on. */
  readonly reached: (atMs: number, ofMs: number) => void;
  /** The host's processes are in this group from now on. */
  readonly hostStarted: (group: number) => void;
}

/**
 * Plays a case: starts the host, lets it open the module's port, plays the scenario to its end, and judges what is on
 * record. Whatever happens, the host's processes have ended and the port is free when it returns.
 * @throws LodestubError where it cannot be played: no such program, a port that is taken
 */
export async function playCase(parts: CaseParts): Promise<CaseResult> {
  const begunMs = performance.now();
  const { plan, one } = parts;
  const scenario = await scenarioOf(one);
  const stage = new Stage(parts, scenario);
  await stage.perform();
  const evidence = await stage.clear();
  if (stage.failure !== null) throw stage.failure;
  const { problem, others } = stage;
  return resultOf({ plan, one, evidence, problem, others, tookMs: performance.now() - begunMs });
}

/** All that a case needs while it is played; what was put up is taken down, whatever fails. */
class Stage {
  readonly #parts: CaseParts;
  readonly #scenario: Scenario;
  readonly #clock: RealClock;
  readonly #witness: CaseWitness;
  readonly #folder = freshFolder();
  readonly #kept: KeptFiles;
  readonly #stop: StopSignal;
  /** What the port tells before there is a run. */
  #early: ((run: ModuleRun) => void)[] = [];
  #run: ModuleRun | null = null;
  #port: ModulePort | null = null;
  #source: ReportSource | null = null;
  /** Null too where it runs already. */
  #host: HostProcess | null = null;
  /** What ended it; null: nothing did. */
  failure: Error | null = null;

  constructor(parts: CaseParts, scenario: Scenario) {
    const { plan, one, keepFolder, stop } = parts;
    this.#parts = parts;
    this.#scenario = scenario;
    this.#clock = new RealClock(plan.pace.kind === 'steady' ? plan.pace.factor : STEP_PACE);
    const failed = (error: Error) => this.#fail(error);
    this.#kept = keepFiles(keepFolder, one.id, failed);
    const isApart = !['stdout', 'stderr'].includes(plan.reports.from.kind);
    this.#witness = new CaseWitness(this.#clock, this.#kept, isApart);
    const hasFailed = () => this.failure !== null;
    this.#stop = {
      get isStopped() {
        return stop.isStopped || hasFailed();
      },
    };
  }

  /** What was wrong around the case; null: nothing was. */
  get problem(): string | null {
    return this.#witness.problemWith(this.#parts.plan.reports, this.#source);
  }

  /** What came where reports come from and is none. */
  get others(): CaseWitness['others'] {
    return this.#witness.others;
  }

  /** From opening the port to the last report. What goes wrong is kept as its failure. */
  async perform(): Promise<void> {
    try {
      await this.#perform();
    } catch (error) {
      this.#fail(error as Error);
    }
  }

  async #perform(): Promise<void> {
    const { plan, one } = this.#parts;
    const { baseFolder, host } = plan;
    const { start } = this.#scenario;
    this.#witness.startUtcMs = start === 'now' ? Date.now() : utcMsOf(start);
    const spec = portSpecOf(plan);
    const linkPath = host === 'already-running' ? plan.link : join(this.#folder.path, 'gnss');
    const link = spec.kind === 'pty' && linkPath !== null ? { linkPath } : {};
    const port = await openPort(spec, { baud: this.#scenario.module.baud, ...link }, this.#listener());
    this.#port = port;
    checkDemands(port, this.#scenario);
    const own = { case: fileNameOf(one.id), folder: this.#folder.path };
    const source = await openReports(plan.reports, this.#witness, this.#witness, { baseFolder, values: own });
    this.#source = source;
    if (host !== 'already-running') {
      const values = { ...own, ...valuesOf(port, linkPath, this.#scenario), ...reportsValue(source) };
      const listener = this.#witness.listenTo(source, (error) => this.#fail(error));
      const life = (event: HostLife) => {
        if (event.event === 'started') this.#parts.hostStarted(this.#host?.group as number);
        listener.life(event);
      };
      this.#host = new HostProcess(host, { ...listener, life }, { baseFolder, values });
      await this.#host.start();
    }
    await this.#waitForHost(spec);
    if (!this.#stop.isStopped) await this.#play(port);
  }

  /** Takes everything down: the host first, since that its port goes is no failure that it was to stand. */
  async clear(): Promise<Evidence> {
    const host = this.#parts.plan.host;
    const steps: (() => unknown)[] = [
      async () => {
        const isForced = await this.#host?.stop();
        if (isForced === true && host !== 'already-running') this.#witness.wasForced(host.stopWithinS);
      },
      () => this.#source?.close(),
      () => this.#run?.finish(),
      () => this.#port?.close(),
      () => this.#kept.close(),
      () => this.#folder.remove(),
    ];
    for (const step of steps) {
      try {
        await step();
      } catch (error) {
        this.#fail(error as Error);
      }
    }
    const tellsOpening = OPENING_TOLD.includes(portSpecOf(this.#parts.plan).kind);
    const restartAfterMs = host !== 'already-running' && host.restart ? host.restartAfterS * 1000 : null;
    return this.#witness.finish(this.#run?.endMs ?? 0, tellsOpening, restartAfterMs);
  }

  #fail(error: Error): void {
    this.failure ??= error;
  }

  /** What the port tells goes to the run; what it told before there was one is told it first. */
  #listener(): PortListener {
    const tell = (deed: (run: ModuleRun) => void) => {
      if (this.#run === null) this.#early.push(deed);
      else deed(this.#run);
    };
    return {
      hostBytes: (bytes) => tell((run) => run.hear(bytes, this.#clock.nowMs())),
      hostEvent: (event) => {
        this.#witness.hostEvent(event);
        tell((run) => run.noteHost(event, this.#clock.nowMs()));
      },
      portEvent: (event) => tell((run) => run.notePort(event, this.#clock.nowMs())),
      failed: (error) => this.#fail(error),
    };
  }

  /**
   * Waits until the host is ready: by what it says, or by having opened the port. One that has not come in time is
   * played to all the same: what it does then is what it does.
   * @throws LodestubError `trial.host-ended`, `trial.host-not-ready`
   */
  async #waitForHost(spec: PortSpec): Promise<void> {
    const { host, openWithinMs } = this.#parts.plan;
    const process = this.#host;
    if (host !== 'already-running' && host.ready !== null) {
      let isSettled = false;
      const ready = process?.ready().finally(() => {
        isSettled = true;
      });
      await Promise.race([ready, this.#until(() => isSettled || this.#stop.isStopped)]);
      return;
    }
    if (!OPENING_TOLD.includes(spec.kind)) return;
    const witness = this.#witness;
    const untilMs = performance.now() + openWithinMs;
    const isGone = () => process !== null && !process.isRunning && host !== 'already-running' && !host.restart;
    const isOver = () => witness.hasOpened || this.#stop.isStopped || isGone() || performance.now() >= untilMs;
    await this.#until(isOver);
    if (!witness.hasOpened && process !== null && isGone()) throw process.endedEarly('it had opened the port');
    if (!witness.hasOpened && !this.#stop.isStopped) witness.neverOpened(openWithinMs);
  }

  async #until(holds: () => boolean): Promise<void> {
    while (!holds()) await sleep(LOOK_MS);
  }

  /** From tick 0 to the last report. */
  async #play(port: ModulePort): Promise<void> {
    const { pace, settleMs } = this.#parts.plan;
    const witness = this.#witness;
    const begin = nextWholeSecond();
    const run = new ModuleRun(this.#scenario, {
      now: begin.utc,
      send: (bytes) => {
        witness.sent(bytes.length);
        this.#kept.stream(bytes);
        port.write(Buffer.from(bytes, 'latin1'));
      },
      journal: (line) => witness.journal(line),
      onStep: (step) => witness.step(step),
      failed: (error) => this.#fail(error),
      port,
    });
    witness.startUtcMs = utcMsOf(run.startUtc);
    this.#run = run;
    for (const deed of this.#early) deed(run);
    if (this.#scenario.start === 'now') await untilUnixMs(begin.unixMs, this.#stop);
    const clock = this.#clock;
    const lengthMs = run.epochCount * run.epochMs;
    const progress = setInterval(() => this.#parts.reached(clock.nowMs(), lengthMs), TOLD_EVERY_MS);
    witness.start();
    clock.start();
    const isGone = () => this.#host !== null && !this.#host.isRunning;
    try {
      if (pace.kind === 'steady') await play(run, clock, this.#stop);
      else {
        const reports = {
          count: () => witness.count(),
          lastMs: () => witness.lastMs(),
          isOfNewest: () => witness.isOfNewest(),
          isGone,
        };
        await playInStep(run, clock, this.#stop, reports, pace.patienceMs);
      }
      clock.pause();
      const untilMs = performance.now() + settleMs;
      while (performance.now() < untilMs && !this.#stop.isStopped && !isGone()) await sleep(LOOK_MS);
    } finally {
      clearInterval(progress);
    }
  }
}

/** The port that a case has. */
function portSpecOf({ host, port }: TrialPlan): PortSpec {
  if (host === 'already-running') return parsePortSpec(port ?? 'pty');
  return parsePortSpec(placeholdersOf(host).includes('tcp') ? 'tcp:0' : 'pty');
}

/** What the host is told of the port. */
function valuesOf(port: ModulePort, linkPath: string | null, { module }: Scenario) {
  const baud = `${module.baud}`;
  if (port.name.startsWith('tcp:')) return { baud, tcp: port.name.slice('tcp:'.length) };
  // While a pty is away the system may give its own name to another program's.
  return linkPath === null ? { baud, port: port.name } : { baud, port: linkPath, link: linkPath };
}

function reportsValue({ address }: ReportSource) {
  return address === null ? {} : { reports: address };
}

function sleep(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
