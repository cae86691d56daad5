import type { ReportText } from './report-text.js';

/** DTM: the datum is WGS-84 and nothing is to be added. */
export function dtm(text: ReportText): void {
  text.send('DTM,W84,,0.0,N,0.0,E,0.0,W84');
}
