import { readerOf } from './reader-of.js';
import type { ReportContext, ReportTaker } from './report-reader.js';
import type { ReportSource } from './report-source.js';
import type { ReportsSettings } from './reports-settings.js';

/** Reports on one of the host's own outputs; each of its processes begins anew. */
export function openOutputSource(
  settings: ReportsSettings,
  output: 'stdout' | 'stderr',
  take: ReportTaker,
  context: ReportContext,
): ReportSource {
  const reader = readerOf(settings, take, context);
  return {
    address: null,
    hostText(from, text) {
      if (from === output) reader.push(text);
    },
    hostEnded: () => reader.end(),
    close: async () => reader.end(),
    hint: () => reader.hint(),
  };
}
