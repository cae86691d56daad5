import type { FaultSpan, HostLine } from './evidence.js';
import type { Finding, Moment } from './expectation.js';

/** An expectation, and what was found. */
export interface Judged extends Finding {
  readonly name: string;
  readonly kind: string;
  /** What stands in the journal and the host's output around its worst moments, at most three of them. */
  readonly surroundings: readonly Around[];
}

/** What went over the line before a moment, and what the host said next. */
export interface Around {
  readonly moment: Moment;
  /** Sentences that the host had got last, in order, with the ids of the faults that touched them. */
  readonly sentences: readonly {
    readonly startMs: number;
    readonly endMs: number;
    readonly text: string;
    readonly faults: readonly string[];
  }[];
  /** Lines of the host from then on, in order. */
  readonly said: readonly HostLine[];
}

/** A point for a drawing: 2,000 of a case at most. */
export interface DrawnPoint {
  readonly atMs: number;
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
}

/** A host's report for a drawing, with its errors where they could be told. */
export interface DrawnReport extends DrawnPoint {
  /** Against the truth; null: it is not known. */
  readonly truthErrorM: number | null;
  /** Against what the module reported; null: it reported no place. */
  readonly moduleErrorM: number | null;
}

/** What is drawn of a case. */
export interface Drawing {
  readonly truth: readonly DrawnPoint[];
  readonly module: readonly DrawnPoint[];
  readonly reports: readonly DrawnReport[];
  readonly faults: readonly FaultSpan[];
}

/** A case that is over. */
export interface CaseResult {
  /** `harbour/single-band-9600/seed-3/tunnel`: the values of the axes, joined. */
  readonly id: string;
  readonly scenario: string;
  readonly module: string;
  readonly seed: number;
  readonly faults: string;
  /** `broken`: the case could not be played; `problem` says why. */
  readonly verdict: 'passed' | 'failed' | 'broken';
  readonly problem: string | null;
  readonly judged: readonly Judged[];
  /** Counts of what came from the host. */
  readonly reports: number;
  readonly badReports: number;
  /** Lines that came where reports come from and are none. */
  readonly otherLines: number;
  /** The first of them; null: there is none. */
  readonly firstOther: string | null;
  /** The first of the reports that could not be read, and why; null: none. */
  readonly firstBad: { readonly text: string; readonly why: string } | null;
  readonly startUtc: string;
  /** Simulated length, ms. */
  readonly lengthMs: number;
  /** How long it took, ms of the machine's clock. */
  readonly tookMs: number;
  /** The one command that repeats it. */
  readonly command: string;
  readonly drawing: Drawing;
  /** The newest lines of the host. */
  readonly lines: readonly HostLine[];
}

/** A trial, or a part of one, that is over: what `--json` writes. */
export interface TrialResult {
  readonly lodestubTrial: 1;
  readonly version: string;
  readonly title: string;
  readonly file: string;
  /** Of the trial's text and of all files that it names: parts of the same trial can be merged. */
  readonly digest: string;
  /** How many cases the whole trial has. */
  readonly casesInAll: number;
  /** `2/8`; null: all of it. */
  readonly shard: string | null;
  /** How many cases were to be played; fewer are there where it was stopped. */
  readonly casesAsked: number;
  readonly cases: readonly CaseResult[];
}
