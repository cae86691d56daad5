import type { ReportText } from './report-text.js';

/** ZDA: time and date in UTC, and the local zone as the style has it. Without a date only the time stands there. */
export function zda(text: ReportText): void {
  const zone = text.day === '' ? ',' : text.style.zdaZone;
  text.send(`ZDA,${text.time},${text.day},${text.month},${text.year},${zone}`);
}
