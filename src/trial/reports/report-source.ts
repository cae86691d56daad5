import { join, resolve } from 'node:path';
import { fillPlaceholders, type PlaceholderValues } from '../host/placeholders.js';
import { openFileSource } from './file-source.js';
import { openHttpSource } from './http-source.js';
import { openOutputSource } from './output-source.js';
import type { ReportContext, ReportTaker } from './report-reader.js';
import type { ReportsSettings } from './reports-settings.js';
import { openTcpSource } from './tcp-source.js';

/**
 * So many reports are taken, and so many more for each second of simulated time: a host that floods shall not fill the
 * memory, and one that reports each sentence of ten epochs a second, for hours, shall be read to its end. Of a flood
 * some are read all the time, so that it is not judged as a host that fell silent.
 */
const FIRST_REPORTS = 50_000;
const REPORTS_PER_S = 200;
/** So many bad ones of a case are told. */
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
  const limited = withLimits(take, context);
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

/** Hands on what is no flood. */
export function withLimits(take: ReportTaker, context: ReportContext): ReportTaker {
  let reports = 0;
  let bad = 0;
  let firstMs: number | null = null;
  let isFlood = false;
  return {
    report(read) {
      const nowMs = context.now();
      firstMs ??= nowMs;
      if (reports < FIRST_REPORTS + (REPORTS_PER_S * (nowMs - firstMs)) / 1000) {
        reports += 1;
        take.report(read);
      } else if (!isFlood) {
        isFlood = true;
        take.bad(read.text, `more than ${REPORTS_PER_S} reports a second: some of them are not read`);
      }
    },
    bad(text, why) {
      bad += 1;
      if (bad < MOST_BAD) take.bad(text, why);
      else if (bad === MOST_BAD) take.bad(text, `${why}; ${MOST_BAD} could not be read, further ones are not told`);
    },
    other: (line) => take.other?.(line),
  };
}
