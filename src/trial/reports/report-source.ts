import { join, resolve } from 'node:path';
import { fillPlaceholders, type PlaceholderValues } from '../host/placeholders.js';
import { openFileSource } from './file-source.js';
import { openHttpSource } from './http-source.js';
import { openOutputSource } from './output-source.js';
import type { ReportContext, ReportTaker } from './report-reader.js';
import type { ReportsSettings } from './reports-settings.js';
import { openTcpSource } from './tcp-source.js';

/** So many reports, and bad ones, of a case are taken: a host that floods shall not fill the memory. */
const MOST_REPORTS = 200_000;
const MOST_BAD = 10_000;

/** Where reports come from, being read. */
export interface ReportSource {
  /** What `{reports}` stands for; null: nothing. */
  readonly address: string | null;
  /** What the host wrote on one of its outputs: of use where they are what is read. */
  hostText(from: 'stdout' | 'stderr', text: string): void;
  /** A process of the host's has ended and its outputs are read: what it had begun to write is read as it is. */
  hostEnded(): void;
  /** Reads what is left and ends. To be called when the host has ended. */
  close(): Promise<void>;
  /** Why there may be no reports, a clause without a full stop; null: nothing to say. */
  hint(): string | null;
}

/** What stands in a case for the settings of its reports. */
export interface SourceSurroundings {
  /** Folder of the trial's file. */
  readonly baseFolder: string;
  readonly values: PlaceholderValues;
}

/**
 * Opens where a case's reports come from. A host's outputs come through `hostText`; everything else is read here.
 * @throws LodestubError `trial.port-busy`, `trial.port-denied`, `trial.placeholder`, `trial.reports-file`
 */
export async function openReports(
  settings: ReportsSettings,
  take: ReportTaker,
  context: ReportContext,
  { baseFolder, values }: SourceSurroundings,
): Promise<ReportSource> {
  const { from } = settings;
  const limited = withLimits(take);
  switch (from.kind) {
    case 'stdout':
    case 'stderr':
      return openOutputSource(settings, from.kind, limited, context);
    case 'file': {
      const path = resolve(join(baseFolder), fillPlaceholders(from.path, values, 'reports.from.file'));
      return openFileSource(settings, path, limited, context);
    }
    case 'tcp':
      return openTcpSource(settings, from.port, limited, context);
    case 'http':
      return openHttpSource(settings, from.port, limited, context);
  }
}

function withLimits(take: ReportTaker): ReportTaker {
  let reports = 0;
  let bad = 0;
  return {
    report(read) {
      reports += 1;
      if (reports <= MOST_REPORTS) take.report(read);
      else if (reports === MOST_REPORTS + 1) take.bad(read.text, `more than ${MOST_REPORTS} reports: no more are read`);
    },
    bad(text, why) {
      bad += 1;
      if (bad < MOST_BAD) take.bad(text, why);
      else if (bad === MOST_BAD) take.bad(text, `${why}; ${MOST_BAD} could not be read, further ones are not told`);
    },
    other: (line) => take.other?.(line),
  };
}
