import type { ReceiverClockTruth, SatelliteTruth, Truth } from '../sim/epoch.js';

/** The first record: what was run, and how it can be run again. */
export interface RunRecord {
  readonly type: 'run';
  readonly format: 1;
  readonly version: string;
  readonly title: string;
  readonly seed: number;
  readonly module: string;
  readonly startUtc: string;
  /** Speed of the module's line at the start. */
  readonly baud: number;
  readonly epochMs: number;
  /** Where the scenario came from: its file, its text, what was set in place of what it says. */
  readonly scenario: Readonly<Record<string, unknown>>;
  /** Only where a recording is played. */
  readonly recording?: RecordingFacts;
}

/** A recording that was played. */
export interface RecordingFacts {
  readonly file: string;
  readonly bytes: number;
  readonly timing: 'stamps' | 'line';
  /** Its times were moved by so much, whole seconds. */
  readonly shiftS: number;
}

/** What the module claims at an epoch; null is what it does not report. */
export interface RecordedReport {
  readonly fix: 'none' | '2d' | '3d';
  readonly quality: number;
  readonly mode: string;
  readonly status: string;
  readonly utc: string | null;
  readonly timeKnown: boolean;
  readonly dateKnown: boolean;
  readonly latitudeDeg: number | null;
  readonly longitudeDeg: number | null;
  readonly altitudeMslM: number | null;
  readonly geoidSeparationM: number | null;
  readonly speedMps: number | null;
  readonly courseDeg: number | null;
  readonly hdop: number | null;
  readonly vdop: number | null;
  readonly pdop: number | null;
  readonly used: number;
  readonly inView: number;
}

/** A navigation epoch: the truth, and what the module makes of it. */
export interface EpochRecord {
  readonly type: 'epoch';
  readonly index: number;
  readonly atMs: number;
  readonly utc: string;
  /** Null where a recording is played: nobody knows. */
  readonly truth: Truth | null;
  readonly report: RecordedReport;
  readonly receiverClock?: ReceiverClockTruth;
  readonly satellites: readonly SatelliteTruth[];
  /** Ids of the faults in force at it. */
  readonly faults: readonly string[];
}

/** A sentence that went out; `sentBase64` where other bytes did than `text` and CR LF. */
export interface SentenceRecord {
  readonly type: 'sentence';
  readonly epoch: number;
  readonly text: string;
  readonly startMs: number;
  readonly endMs: number;
  readonly faults: readonly string[];
  readonly sentBase64?: string;
  readonly tellTale?: { readonly latitudeDeg: number; readonly longitudeDeg: number };
}

/** Bytes that belong to no sentence. */
export interface BytesRecord {
  readonly type: 'bytes';
  readonly epoch: number;
  readonly startMs: number;
  readonly endMs: number;
  readonly base64: string;
  readonly cause: string;
  readonly faults: readonly string[];
}

/** A sentence, or a part of one, that never went out. */
export interface DroppedRecord {
  readonly type: 'dropped';
  readonly epoch: number;
  readonly atMs: number;
  readonly text: string;
  readonly bytes: number;
  readonly reason: string;
  readonly faults: readonly string[];
}

/** The module's line runs at another speed from here on. */
export interface LineRecord {
  readonly type: 'line';
  readonly atMs: number;
  readonly baud: number;
}

/** The port went, came back under a name, refuses hosts or does so no longer. */
export interface PortRecord {
  readonly type: 'port';
  readonly atMs: number;
  readonly event: string;
  readonly name?: string;
}

/** A host came, went, set its speed, or sent bytes. */
export interface HostRecord {
  readonly type: 'host';
  readonly atMs: number;
  readonly event: string;
  readonly baud?: number;
  readonly base64?: string;
}

/** Something came from the host: as text, or base64 where it is none. */
export interface CommandRecord {
  readonly type: 'command';
  readonly atMs: number;
  readonly text?: string;
  readonly base64?: string;
  readonly verdict: string;
  readonly name?: string;
  readonly busy?: true;
  readonly answer: readonly object[];
  readonly actions: readonly object[];
}

/** Something was done by hand that is none of the module's business. */
export interface ControlRecord {
  readonly type: 'control';
  readonly atMs: number;
  readonly [key: string]: unknown;
}

/** Other surroundings begin or end. */
export interface SurroundingsRecord {
  readonly type: 'surroundings';
  readonly id: string;
  readonly surroundings: string;
  readonly phase: 'begin' | 'end';
  readonly atMs: number;
  readonly with?: Readonly<Record<string, unknown>>;
}

/** A fault begins or ends. */
export interface FaultRecord {
  readonly type: 'fault';
  readonly id: string;
  readonly kind: string;
  readonly phase: 'begin' | 'end';
  readonly atMs: number;
  readonly with: Readonly<Record<string, unknown>>;
}

/** The last record: what the journal holds. */
export interface EndRecord {
  readonly type: 'end';
  readonly epochs: number;
  readonly sentences: number;
  readonly bytes: number;
  readonly dropped: number;
}

/** A line of the journal, told apart by its type. */
export type JournalRecord =
  | RunRecord
  | EpochRecord
  | SentenceRecord
  | BytesRecord
  | DroppedRecord
  | LineRecord
  | PortRecord
  | HostRecord
  | CommandRecord
  | ControlRecord
  | SurroundingsRecord
  | FaultRecord
  | EndRecord;

/** When it begins, ms since the start; null: the run's first and last record have no time. */
export function startMsOf(record: JournalRecord): number | null {
  if (record.type === 'run' || record.type === 'end') return null;
  return 'startMs' in record ? (record.startMs as number) : record.atMs;
}
