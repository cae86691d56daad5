import type { Truth } from '../sim/epoch.js';
import type { RecordedReport, SentenceRecord } from '../truth/journal-record.js';

/** What a host said of position, time and satellites at once; null: it did not say. */
export interface HostReport {
  /** Place among the case's reports, from 0. */
  readonly index: number;
  /** When it came, simulated ms since tick 0. */
  readonly arrivedMs: number;
  /** When it came, ms of the machine's clock since tick 0: the same at real pace. */
  readonly arrivedRealMs: number;
  /** As the host wrote it, 500 characters at most. */
  readonly text: string;
  /** UTC that it tells, ms since 1970. */
  readonly utcMs: number | null;
  /** It tells the date itself; false where only a time of day was told, whose date we filled in, or no time. */
  readonly isDateTold: boolean;
  /** True where a place is told and nothing says that it is none. */
  readonly hasFix: boolean | null;
  readonly latitudeDeg: number | null;
  readonly longitudeDeg: number | null;
  readonly altitudeMslM: number | null;
  readonly speedMps: number | null;
  readonly courseDeg: number | null;
  readonly used: number | null;
  readonly inView: number | null;
}

/** A navigation epoch of the module's. */
export interface TrialEpoch {
  readonly index: number;
  readonly atMs: number;
  /** True UTC, ms since 1970. */
  readonly utcMs: number;
  /** Null: nobody knows it, as where a recording is played. */
  readonly truth: Truth | null;
  readonly report: RecordedReport;
  /** Faults in force at it. */
  readonly faults: readonly string[];
  /**
   * When the host had its last sentence with a position or time (RMC, GGA, GNS, GLL, ZDA) whole, simulated ms; null:
   * none went out.
   */
  readonly toldMs: number | null;
}

/** A sentence that went out, and when the host had it. */
export interface TrialSentence extends SentenceRecord {
  /** When the port was handed its last byte, simulated ms; missing: that is not known, and taken to be `endMs`. */
  readonly handedMs?: number;
}

/** A time in which a fault, or other surroundings, were in force. */
export interface FaultSpan {
  /** `3.1`; the entry's name is what stands before the point. */
  readonly id: string;
  /** Kind of fault, or the surroundings' name. */
  readonly kind: string;
  readonly beginMs: number;
  readonly endMs: number;
  readonly with: Readonly<Record<string, unknown>>;
}

/** The host's process began or ended. */
export interface LifeEvent {
  readonly event: 'started' | 'ended';
  /** Simulated ms; before tick 0 it is 0. */
  readonly atMs: number;
  /** How it ended. */
  readonly code: number | null;
  readonly signal: string | null;
  /** It was ended because the case was over. */
  readonly isByUs: boolean;
}

/** A line that the host wrote. */
export interface HostLine {
  readonly atMs: number;
  readonly from: 'stdout' | 'stderr' | 'reports';
  /** 500 characters at most. */
  readonly text: string;
}

/** A report that could not be read. */
export interface BadReport {
  readonly atMs: number;
  /** 500 characters at most. */
  readonly text: string;
  /** What is wrong with it, a clause without a full stop. */
  readonly why: string;
}

/** All that is on record of a case when it is over. */
export interface Evidence {
  /** True UTC at tick 0, ms since 1970. */
  readonly startUtcMs: number;
  /** Interval of epochs at the start. */
  readonly epochMs: number;
  /** End of the case, simulated ms. */
  readonly endMs: number;
  readonly epochs: readonly TrialEpoch[];
  readonly sentences: readonly TrialSentence[];
  /** In order of beginning. */
  readonly faults: readonly FaultSpan[];
  /** The port went away and came back; a port that stays away has an end of `endMs`. */
  readonly portGone: readonly { readonly beginMs: number; readonly endMs: number }[];
  /** Nothing could be heard though the port was there: nobody had it open, or at another speed than the module's. */
  readonly unheard: readonly { readonly beginMs: number; readonly endMs: number }[];
  readonly reports: readonly HostReport[];
  readonly bad: readonly BadReport[];
  /** The newest of what the host wrote. */
  readonly lines: readonly HostLine[];
  /** What the host wrote before is not among the lines any more, simulated ms; 0: all is. */
  readonly linesFromMs: number;
  /** Empty where the host runs already. */
  readonly life: readonly LifeEvent[];
  /** So long after its end the host is started again, ms by the machine's clock; null: it is not. */
  readonly restartAfterMs: number | null;
  /** Ms of the machine's clock since tick 0, at a simulated time. */
  realMsOf(simulatedMs: number): number;
}
