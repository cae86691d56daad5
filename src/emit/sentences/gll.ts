import type { ReportText } from './report-text.js';

/** GLL: position, time, status, mode. */
export function gll(text: ReportText): void {
  text.send(`GLL,${text.position},${text.time},${text.report.status}${text.mode}`);
}
