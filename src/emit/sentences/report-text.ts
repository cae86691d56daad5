import { KNOT_MPS } from '../../base/constants.js';
import type { Report } from '../../sim/epoch.js';
import { bearing, degreesMinutes, fixed, fixedOrBlank, timeAndDate, two } from './fields.js';
import type { SentenceStyle } from './style.js';

/** The fields that several sentences share, written once an epoch. */
export interface ReportText {
  readonly report: Report;
  readonly style: SentenceStyle;
  /** `hhmmss.ss`, or blank. */
  readonly time: string;
  /** `ddmmyy`, or blank. */
  readonly date: string;
  readonly day: string;
  readonly month: string;
  readonly year: string;
  /** `ddmm.mmmm,N,dddmm.mmmm,E`, or three commas. */
  readonly position: string;
  readonly speedKn: string;
  readonly speedKmph: string;
  readonly courseDeg: string;
  readonly hdop: string;
  readonly vdop: string;
  readonly pdop: string;
}

/** Writes the shared fields of a report in a module's style. */
export function writeReport(report: Report, style: SentenceStyle): ReportText {
  const clock = report.utc === null ? null : timeAndDate(report.utc, style.secondDecimals);
  const date = clock === null || !report.dateKnown ? null : clock;
  const latitude = degreesMinutes(report.latitudeDeg, 2, style.minuteDecimals, 'N', 'S');
  const longitude = degreesMinutes(report.longitudeDeg, 3, style.minuteDecimals, 'E', 'W');
  const { speedMps } = report;
  return {
    report,
    style,
    time: clock?.time ?? '',
    date: date === null ? '' : `${two(date.day)}${two(date.month)}${two(date.year % 100)}`,
    day: date === null ? '' : two(date.day),
    month: date === null ? '' : two(date.month),
    year: date === null ? '' : String(date.year),
    position: `${latitude},${longitude}`,
    speedKn: fixedOrBlank(speedMps === null ? null : speedMps / KNOT_MPS, style.speedDecimals),
    speedKmph: fixedOrBlank(speedMps === null ? null : speedMps * 3.6, style.speedDecimals),
    courseDeg: bearing(report.courseDeg, style.courseDecimals),
    hdop: dilution(report.hdop, style),
    vdop: dilution(report.vdop, style),
    pdop: dilution(report.pdop, style),
  };
}

function dilution(value: number | null, { unknownDop, dopDecimals }: SentenceStyle): string {
  // The largest with two digits before the point: 99.99, or 99.9 with one decimal.
  const largest = 100 - 10 ** -dopDecimals;
  return value === null ? unknownDop : fixed(Math.min(value, largest), dopDecimals);
}
