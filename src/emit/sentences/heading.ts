import type { Mode } from '../../sim/epoch.js';
import { bearing, fixed } from './fields.js';
import type { ReportText } from './report-text.js';

/** Decimals of the rate of turn. */
const RATE_DECIMALS = 1;

/** HDT: heading, true; blank without one. */
export function hdt(text: ReportText): void {
  text.send(`HDT,${headingText(text)},T`);
}

/** THS: heading, true, and its mode, V without one. */
export function ths(text: ReportText): void {
  text.send(`THS,${headingText(text)},${text.report.heading === null ? 'V' : headingMode(text.report.mode)}`);
}

/** ROT: rate of turn, deg/min, positive to starboard, and whether it is valid. */
export function rot(text: ReportText): void {
  const rate = text.report.heading?.rateDegPerMin ?? null;
  text.send(rate === null ? 'ROT,,V' : `ROT,${fixed(rate, RATE_DECIMALS)},A`);
}

function headingText({ report, style }: ReportText): string {
  return report.heading === null ? '' : bearing(report.heading.headingDeg, style.courseDecimals);
}

/** THS knows autonomous, estimated, manual, simulator and void. */
function headingMode(mode: Mode): string {
  return mode === 'E' || mode === 'S' ? mode : 'A';
}
