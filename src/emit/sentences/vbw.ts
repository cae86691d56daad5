import { DEG_PER_RAD, KNOT_MPS } from '../../base/constants.js';
import { fixed } from './fields.js';
import type { ReportText } from './report-text.js';
import { isFrom } from './style.js';

/**
 * VBW: speed through the water, which a receiver does not know, and speed over ground, along and to starboard, knots;
 * from 3.01 also those of the stern (from memory). Without a heading the course is taken for it.
 */
export function vbw(text: ReportText): void {
  const { report, style } = text;
  const { speedMps, courseDeg, heading } = report;
  const stern = isFrom(style.version, '3.01') ? ',,V,,V' : '';
  if (speedMps === null) {
    text.send(`VBW,,,V,,,V${stern}`);
    return;
  }
  const driftRad = heading === null || courseDeg === null ? 0 : (courseDeg - heading.headingDeg) / DEG_PER_RAD;
  const along = fixed((speedMps * Math.cos(driftRad)) / KNOT_MPS, style.speedDecimals);
  const across = fixed((speedMps * Math.sin(driftRad)) / KNOT_MPS, style.speedDecimals);
  text.send(`VBW,,,V,${along},${across},${report.status}${stern}`);
}
