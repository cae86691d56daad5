import { utcMsOf } from '../base/utc-ms.js';
import { counted } from '../base/words.js';
import type { HostEvent } from '../emit/ports/port.js';
import type { RealClock } from '../run/clock.js';
import type { EpochStep } from '../run/output.js';
import type { KeptFiles } from './case-files.js';
import type { Evidence, HostLine } from './evidence.js';
import { EvidenceCollector } from './evidence-from.js';
import { wordsOf } from './expectations/host-life.js';
import type { HostListener } from './host/host-process.js';
import type { StepReports } from './play-in-step.js';
import { LONGEST_TEXT } from './reports/record-sink.js';
import type { ReadReport, ReportContext, ReportTaker } from './reports/report-reader.js';
import type { ReportSource } from './reports/report-source.js';
import type { ReportsSettings } from './reports/reports-settings.js';
import { TimeMap } from './time-map.js';

/** So many of the host's lines are kept; of more, the newest. */
const MOST_LINES = 20_000;
/** A host may round the time that it tells. */
const ROUNDED_MS = 50;

/** Puts down what happens in a case, each with the time that both clocks show. */
export class CaseWitness implements ReportTaker, ReportContext, Omit<StepReports, 'isGone'> {
  readonly #clock: RealClock;
  readonly #kept: KeptFiles;
  readonly #isApart: boolean;
  readonly #collector = new EvidenceCollector();
  readonly #times = new TimeMap();
  #lines: HostLine[] = [];
  /** Lines of earlier are gone. */
  #isCut = false;
  #reports = 0;
  #otherLines = 0;
  #firstOther: string | null = null;
  /** The machine's clock at tick 0; null: it is yet to come. */
  #beganMs: number | null = null;
  #startUtcMs = 0;
  #hasOpened = false;
  #lastReport: { readonly atMs: number; readonly utcMs: number | null } = { atMs: 0, utcMs: null };
  /** The last two epochs: what the module claims of the time. */
  #steps: readonly { readonly atMs: number; readonly utcMs: number | null }[] = [];
  readonly #problems: string[] = [];

  /** @param isApart reports do not come on the host's own outputs */
  constructor(clock: RealClock, kept: KeptFiles, isApart: boolean) {
    this.#clock = clock;
    this.#kept = kept;
    this.#isApart = isApart;
  }

  /** How many reports have come. */
  count(): number {
    return this.#reports;
  }

  /** When the last one came, by the machine's clock, ms. */
  lastMs(): number {
    return this.#lastReport.atMs;
  }

  /** False: the last one tells a time before the newest epoch that had been played by now. */
  isOfNewest(): boolean {
    const nowMs = this.#clock.nowMs();
    const newest = this.#steps.findLast(({ atMs, utcMs }) => atMs < nowMs && utcMs !== null)?.utcMs ?? null;
    const { utcMs } = this.#lastReport;
    return newest === null || utcMs === null || utcMs >= newest - ROUNDED_MS;
  }

  /** The host has opened the port. */
  get hasOpened(): boolean {
    return this.#hasOpened;
  }

  /** True UTC at tick 0, ms since 1970. */
  set startUtcMs(utcMs: number) {
    this.#startUtcMs = utcMs;
  }

  /** The module has done an epoch. */
  step({ epoch }: EpochStep): void {
    const { utc } = epoch.report;
    this.#steps = [...this.#steps.slice(-1), { atMs: epoch.atMs, utcMs: utc === null ? null : utcMsOf(utc) }];
  }

  /** Simulated UTC now, ms since 1970. */
  now(): number {
    return this.#startUtcMs + this.#clock.nowMs();
  }

  /** Tick 0 is now. */
  start(): void {
    this.#beganMs = performance.now();
  }

  journal(line: string): void {
    this.#kept.journal(line);
    this.#collector.journal(line);
  }

  /** So many bytes are being handed to the port. */
  sent(bytes: number): void {
    this.#times.note(this.#clock.nowMs(), this.#realMs());
    this.#collector.handed(this.#clock.nowMs(), bytes);
  }

  hostEvent({ event }: HostEvent): void {
    if (event === 'open') this.#hasOpened = true;
  }

  report(read: ReadReport): void {
    const arrivedMs = this.#clock.nowMs();
    const arrivedRealMs = this.#realMs();
    this.#times.note(arrivedMs, arrivedRealMs);
    this.#lastReport = { atMs: performance.now(), utcMs: read.utcMs };
    if (this.#isApart) this.#line('reports', read.text);
    this.#collector.report({ ...read, index: this.#reports++, arrivedMs, arrivedRealMs });
  }

  bad(text: string, why: string): void {
    if (this.#isApart) this.#line('reports', text);
    this.#collector.bad({ atMs: this.#clock.nowMs(), text: text.slice(0, LONGEST_TEXT), why });
  }

  /** What is no report came where reports come from. */
  other(line: string): void {
    this.#otherLines++;
    this.#firstOther ??= line;
  }

  /** What the host's process does is put down, and its outputs go to where reports are read. */
  listenTo(source: ReportSource, failed: (error: Error) => void): HostListener {
    return {
      life: (event) => {
        this.#collector.life({ ...event, atMs: this.#clock.nowMs() });
        if (event.event === 'ended' && !event.isByUs) {
          this.#tell(`${wordsOf(event)} at ${(this.#clock.nowMs() / 1000).toFixed(1)} s`);
        }
      },
      outputsEnded: () => source.hostEnded(),
      text: (from, text) => source.hostText(from, text),
      line: (from, text) => this.#line(from, text),
      flooded: (from) => this.#tell(`the host floods its ${from}: it is slowed down`),
      failed,
    };
  }

  /** It did not end when it was asked to. */
  wasForced(withinS: number): void {
    this.#tell(`the host did not end within ${withinS} s of being asked, and was ended by force`);
  }

  neverOpened(withinMs: number): void {
    this.#tell(`the host did not open the port within ${withinMs / 1000} s`);
  }

  /** Lines that came where reports come from and are none. */
  get others(): { readonly count: number; readonly first: string | null } {
    return { count: this.#otherLines, first: this.#firstOther };
  }

  /** All that was wrong around the case; null: nothing was. @param source null: it was never opened */
  problemWith(settings: ReportsSettings, source: ReportSource | null): string | null {
    const all = [...this.#problems];
    if (this.#reports === 0) all.push(`no report came${this.#whyNone(settings, source)}`);
    return all.length === 0 ? null : all.join('; ');
  }

  /** What came in place of reports. */
  #whyNone({ from, format }: ReportsSettings, source: ReportSource | null): string {
    const hint = source?.hint() ?? null;
    if (hint !== null) return `: ${hint}`;
    if (this.#firstOther === null) {
      if (from.kind === 'file') return ': nothing was written to the file';
      if (from.kind === 'tcp' || from.kind === 'http') return `: nothing was sent to ${source?.address}`;
      return `: the host wrote nothing to its ${from.kind}`;
    }
    const lines = counted(this.#otherLines, 'line');
    const first = JSON.stringify(this.#firstOther.slice(0, 60));
    return `: ${lines} came, none a report in the format ${format.name}; the first is ${first}`;
  }

  /**
   * All that is on record.
   * @param endMs the run's end
   * @param tellsOpening the port tells when a host opens it
   * @param restartAfterMs null: the host is not started again
   */
  finish(endMs: number, tellsOpening: boolean, restartAfterMs: number | null): Evidence {
    return this.#collector.finish({
      endMs,
      tellsOpening,
      restartAfterMs,
      lines: this.#lines,
      linesFromMs: this.#isCut ? (this.#lines[0]?.atMs ?? 0) : 0,
      realMsOf: (atMs) => this.#times.realMsOf(atMs),
    });
  }

  #line(from: HostLine['from'], text: string): void {
    const atMs = this.#clock.nowMs();
    this.#kept.host(`${(atMs / 1000).toFixed(3)} ${from}: ${text}`);
    this.#lines.push({ atMs, from, text: text.slice(0, LONGEST_TEXT) });
    if (this.#lines.length <= 2 * MOST_LINES) return;
    this.#lines = this.#lines.slice(-MOST_LINES);
    this.#isCut = true;
  }

  /** Said once, however often it is so. */
  #tell(problem: string): void {
    if (!this.#problems.includes(problem) && this.#problems.length < 10) this.#problems.push(problem);
  }

  #realMs(): number {
    return this.#beganMs === null ? 0 : performance.now() - this.#beganMs;
  }
}
