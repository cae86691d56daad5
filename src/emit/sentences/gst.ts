import { bearing, fixedOrBlank } from './fields.js';
import type { ReportText } from './report-text.js';

/** GST: time, standard deviations of the ranges, of the error ellipse and of latitude, longitude, altitude, m. */
export function gst(text: ReportText): void {
  const { report, style, time } = text;
  const { deviation } = report;
  if (deviation === null) {
    text.send(`GST,${time},,,,,,,`);
    return;
  }
  const { rangeRmsM, majorM, minorM, orientationDeg, latitudeM, longitudeM, altitudeM } = deviation;
  text.sendFitting(style.altitudeDecimals, (decimals) => {
    const ellipse = `${fixedOrBlank(majorM, decimals)},${fixedOrBlank(minorM, decimals)},${bearing(orientationDeg, 1)}`;
    const axes = `${fixedOrBlank(latitudeM, decimals)},${fixedOrBlank(longitudeM, decimals)}`;
    return `GST,${time},${fixedOrBlank(rangeRmsM, decimals)},${ellipse},${axes},${fixedOrBlank(altitudeM, decimals)}`;
  });
}
