import type { ReportText } from './report-text.js';

/** ZDA: time and date in UTC; the local zone is that of UTC. Without a date only the time stands there. */
export function zda({ time, day, month, year }: ReportText): string[] {
  const zone = day === '' ? ',' : '00,00';
  return [`ZDA,${time},${day},${month},${year},${zone}`];
}
