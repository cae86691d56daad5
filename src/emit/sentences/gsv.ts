import type { SatelliteInView } from '../../sim/epoch.js';
import { padded, two } from './fields.js';
import type { ReportText } from './report-text.js';
import { satelliteNumber } from './satellite-number.js';

const PER_SENTENCE = 4;
/** Signal id of GPS L1 C/A, in versions from 4.1. */
const L1_SIGNAL_ID = '1';

/** GSV: satellites in view with elevation, azimuth and C/N0 in whole degrees and decibels, four to a sentence. */
export function gsv({ report, style }: ReportText): string[] {
  const { inView } = report;
  const signal = style.version === '2.3' ? '' : `,${L1_SIGNAL_ID}`;
  const total = Math.max(1, Math.ceil(inView.length / PER_SENTENCE));
  const bodies: string[] = [];
  for (let number = 1; number <= total; number++) {
    let body = `GSV,${total},${number},${two(inView.length)}`;
    const end = Math.min(inView.length, number * PER_SENTENCE);
    for (let i = (number - 1) * PER_SENTENCE; i < end; i++) body += entry(inView[i] as SatelliteInView);
    bodies.push(body + signal);
  }
  return bodies;
}

function entry({ id, elevationDeg, azimuthDeg, cn0DbHz }: SatelliteInView): string {
  const elevation = elevationDeg === null ? '' : two(Math.round(elevationDeg));
  const azimuth = azimuthDeg === null ? '' : padded(Math.round(azimuthDeg) % 360, 3);
  const cn0 = cn0DbHz === null ? '' : two(Math.min(99, Math.max(0, Math.round(cn0DbHz))));
  return `,${satelliteNumber(id)},${elevation},${azimuth},${cn0}`;
}
