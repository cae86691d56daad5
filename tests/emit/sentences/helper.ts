import type { SentenceStyle } from '../../../src/emit/sentences/style.js';
import type { Report } from '../../../src/sim/epoch.js';

/** A style with as many decimals as a usual module has. */
export function style(more: Partial<SentenceStyle> = {}): SentenceStyle {
  return {
    version: '4.11',
    talker: 'GP',
    minuteDecimals: 4,
    secondDecimals: 2,
    altitudeDecimals: 1,
    speedDecimals: 1,
    courseDecimals: 1,
    dopDecimals: 2,
    unknownDop: '99.99',
    ...more,
  };
}

/** A position fix with four satellites, south and west, 10 kn to the west-south-west. */
export const FIX: Report = {
  fix: '3d',
  quality: 1,
  mode: 'A',
  status: 'A',
  utc: { year: 2026, month: 5, day: 12, hour: 6, minute: 40, second: 7.5 },
  timeKnown: true,
  dateKnown: true,
  latitudeDeg: -33.5,
  longitudeDeg: -70.25,
  altitudeMslM: 545.4,
  geoidSeparationM: -31.25,
  speedMps: 5.144444444444445,
  courseDeg: 247.5,
  hdop: 0.925,
  vdop: 1.5,
  pdop: 1.75,
  used: ['G02', 'G05', 'G12', 'G25'],
  inView: [
    { id: 'G02', azimuthDeg: 83.2, elevationDeg: 40.5, cn0DbHz: 46.4 },
    { id: 'G05', azimuthDeg: 359.7, elevationDeg: 17.2, cn0DbHz: 41 },
    { id: 'G12', azimuthDeg: 0.2, elevationDeg: 89.6, cn0DbHz: 9.6 },
    { id: 'G25', azimuthDeg: 344, elevationDeg: 4.4, cn0DbHz: null },
    { id: 'G31', azimuthDeg: null, elevationDeg: null, cn0DbHz: 33 },
  ],
};

/** Nothing is known. */
export const NOTHING: Report = {
  ...FIX,
  fix: 'none',
  quality: 0,
  mode: 'N',
  status: 'V',
  utc: null,
  timeKnown: false,
  dateKnown: false,
  latitudeDeg: null,
  longitudeDeg: null,
  altitudeMslM: null,
  geoidSeparationM: null,
  speedMps: null,
  courseDeg: null,
  hdop: null,
  vdop: null,
  pdop: null,
  used: [],
  inView: [],
};

/** Time and date without a position. */
export const TIME_AND_DATE: Report = { ...NOTHING, utc: FIX.utc, timeKnown: true, dateKnown: true };
/** The time of day without the date. */
export const TIME_ONLY: Report = { ...TIME_AND_DATE, dateKnown: false };

/** A sentence's body: without `$` and checksum. */
export function bodyOf(sentence: string): string {
  return sentence.slice(1, -3);
}
