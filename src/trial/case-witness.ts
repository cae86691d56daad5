import type { Utc } from '../base/time.js';
import { dayNumberOf } from '../base/time.js';
import type { HostEvent } from '../emit/ports/port.js';
import type { RealClock } from '../run/clock.js';
import type { KeptFiles } from './case-files.js';
import type { Evidence, HostLine } from './evidence.js';
import { EvidenceCollector } from './evidence-from.js';
import type { HostListener } from './host/host-process.js';
import type { ReadReport, ReportContext, ReportTaker } from './reports/report-reader.js';
import type { ReportSource } from './reports/report-source.js';
import { TimeMap } from './time-map.js';

/** So many of the host's lines are kept; of more, the newest. */
const MOST_LINES = 20_000;
const LONGEST_TEXT = 500;

/** Puts down what happens in a case, each with the time that both clocks show. */
export class CaseWitness implements ReportTaker, ReportContext {
  readonly #clock: RealClock;
  readonly #kept: KeptFiles;
  readonly #isApart: boolean;
  readonly #collector = new EvidenceCollector();
  readonly #times = new TimeMap();
  #lines: HostLine[] = [];
  #reports = 0;
  /** The machine's clock at tick 0; null: it is yet to come. */
  #beganMs: number | null = null;
  #startUtcMs = 0;
  #hasOpened = false;
  readonly #problems: string[] = [];

  /** @param isApart reports do not come on the host's own outputs */
  constructor(clock: RealClock, kept: KeptFiles, isApart: boolean) {
    this.#clock = clock;
    this.#kept = kept;
    this.#isApart = isApart;
  }

  /** How many reports have come. */
  get reports(): number {
    return this.#reports;
  }

  /** The host has opened the port. */
  get hasOpened(): boolean {
    return this.#hasOpened;
  }

  /** True UTC at tick 0. */
  set startUtc({ year, month, day, hour, minute, second }: Utc) {
    this.#startUtcMs = (dayNumberOf(year, month, day) * 86_400 + hour * 3600 + minute * 60 + second) * 1000;
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

  /** Bytes are being handed to the port. */
  sent(): void {
    this.#times.note(this.#clock.nowMs(), this.#realMs());
  }

  hostEvent({ event }: HostEvent): void {
    if (event === 'open') this.#hasOpened = true;
  }

  report(read: ReadReport): void {
    const arrivedMs = this.#clock.nowMs();
    const arrivedRealMs = this.#realMs();
    this.#times.note(arrivedMs, arrivedRealMs);
    if (this.#isApart) this.#line('reports', read.text);
    this.#collector.report({ ...read, index: this.#reports++, arrivedMs, arrivedRealMs });
  }

  bad(text: string, why: string): void {
    if (this.#isApart) this.#line('reports', text);
    this.#collector.bad({ atMs: this.#clock.nowMs(), text: text.slice(0, LONGEST_TEXT), why });
  }

  /** What the host's process does is put down, and its outputs go to where reports are read. */
  listenTo(source: ReportSource, failed: (error: Error) => void): HostListener {
    return {
      life: (event) => {
        this.#collector.life({ ...event, atMs: this.#clock.nowMs() });
        if (event.event === 'ended' && !event.isByUs) {
          const how = event.signal === null ? `with exit code ${event.code}` : `by ${event.signal}`;
          this.#tell(`the host ended ${how} at ${(this.#clock.nowMs() / 1000).toFixed(1)} s`);
        }
      },
      outputsEnded: () => source.hostEnded(),
      text: (from, text) => source.hostText(from, text),
      line: (from, text) => this.#line(from, text),
      flooded: (from) => this.#tell(`the host floods its ${from}: it is slowed down`),
      failed,
    };
  }

  neverOpened(withinMs: number): void {
    this.#tell(`the host did not open the port within ${withinMs / 1000} s`);
  }

  /** All that was wrong around the case; null: nothing was. @param hint why there may be no reports */
  problemWith(hint: string | null): string | null {
    const all = [...this.#problems];
    if (this.#reports === 0) all.push(hint === null ? 'no report came' : `no report came: ${hint}`);
    return all.length === 0 ? null : all.join('; ');
  }

  /** @param endMs the run's end */
  finish(endMs: number): Evidence {
    return this.#collector.finish({ endMs, lines: this.#lines, realMsOf: (atMs) => this.#times.realMsOf(atMs) });
  }

  #line(from: HostLine['from'], text: string): void {
    const atMs = this.#clock.nowMs();
    this.#kept.host(`${(atMs / 1000).toFixed(3)} ${from}: ${text}`);
    this.#lines.push({ atMs, from, text: text.slice(0, LONGEST_TEXT) });
    if (this.#lines.length > 2 * MOST_LINES) this.#lines = this.#lines.slice(-MOST_LINES);
  }

  /** Said once, however often it is so. */
  #tell(problem: string): void {
    if (!this.#problems.includes(problem) && this.#problems.length < 10) this.#problems.push(problem);
  }

  #realMs(): number {
    return this.#beganMs === null ? 0 : performance.now() - this.#beganMs;
  }
}
