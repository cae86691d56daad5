import type { ReportText } from './report-text.js';
import { satelliteNumber } from './satellite-number.js';

/** Places for satellites in the sentence. */
const PLACES = 12;
/** System id of GPS, in versions from 4.1. */
const GPS_SYSTEM_ID = '1';

const FIX_DIGIT = { none: 1, '2d': 2, '3d': 3 } as const;

/** GSA: fix type, satellites used (the first twelve), dilutions of precision. */
export function gsa({ report, style, pdop, hdop, vdop }: ReportText): string[] {
  let places = '';
  for (let place = 0; place < PLACES; place++) {
    const id = report.used[place];
    places += id === undefined ? ',' : `${satelliteNumber(id)},`;
  }
  const system = style.version === '2.3' ? '' : `,${GPS_SYSTEM_ID}`;
  return [`GSA,A,${FIX_DIGIT[report.fix]},${places}${pdop},${hdop},${vdop}${system}`];
}
