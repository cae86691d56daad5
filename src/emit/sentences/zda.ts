import type { ReportText } from './report-text.js';

/** ZDA: time and date in UTC; the local zone is that of UTC. Without a date only the time stands there. */
export function zda(text: ReportText): void {
  const zone = text.day === '' ? ',' : '00,00';
  text.send(`ZDA,${text.time},${text.day},${text.month},${text.year},${zone}`);
}
