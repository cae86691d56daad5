import type { HostReport } from '../evidence.js';

/** A report as it was read; who takes it knows when it came. */
export type ReadReport = Omit<HostReport, 'index' | 'arrivedMs' | 'arrivedRealMs'>;

/** Who takes what is read of a host's output. */
export interface ReportTaker {
  report(read: ReadReport): void;
  /** @param text as the host wrote it, 500 characters at most @param why a clause without a full stop */
  bad(text: string, why: string): void;
  /** What is no report: a line of a log between them. 500 characters at most. */
  other?(line: string): void;
}

/** What a reader must know beside its settings. */
export interface ReportContext {
  /** Simulated UTC now, ms since 1970: times of day are taken for the date nearest to it. */
  now(): number;
}

/**
 * Reads reports from text that comes in chunks, however it is cut. It never throws for what the text says: a report
 * that cannot be read is told as bad.
 */
export interface ReportReader {
  push(text: string): void;
  /** The text begins again from its first character: what was told of its beginning is not told twice. */
  restart(): void;
  /** Nothing has come for a while: what is a whole report without an end of its line is told. */
  settle(): void;
  /** No more is to come: what is left is read. */
  end(): void;
  /** Why there may be nothing to read, for who wonders: names of fields that were seen; null: nothing to say. */
  hint(): string | null;
}
