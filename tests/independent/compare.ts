import type { SentenceStyle } from '../../src/emit/sentences/style.js';
import type { EpochLine, ReportLine } from '../run/helper.js';
import type { Decoded, Reader } from './readers.js';

/** A few operations on doubles of this size, in a reader and here. */
const ARITHMETIC = 1e-9;
const KNOT_MPS = 1852 / 3600;
const half = (decimals: number) => 0.5 * 10 ** -decimals + ARITHMETIC;

type Numbers = 'latitudeDeg' | 'longitudeDeg' | 'altitudeMslM' | 'geoidSeparationM' | 'speedMps' | 'courseDeg';

/** What a printed digit can hide, by field. */
function tolerances(style: SentenceStyle): Readonly<Record<Numbers | 'hdop' | 'vdop' | 'pdop', number>> {
  const dop = half(style.dopDecimals);
  return {
    latitudeDeg: half(style.minuteDecimals) / 60,
    longitudeDeg: half(style.minuteDecimals) / 60,
    altitudeMslM: half(style.altitudeDecimals),
    geoidSeparationM: half(style.altitudeDecimals),
    // In knots; a reader that takes km/h has a finer one.
    speedMps: half(style.speedDecimals) * KNOT_MPS,
    courseDeg: half(style.courseDecimals),
    hdop: dop,
    vdop: dop,
    pdop: dop,
  };
}

const LARGEST_DOP = 99.99;
const FIXES: Readonly<Record<string, readonly unknown[]>> = {
  none: [null, 1],
  '2d': ['2D', 2],
  '3d': ['3D', 3],
};

/** Where what a reader decoded of a sentence is not what the journal says, each as a text; empty where all is well. */
export function differences(
  name: string,
  decoded: Decoded,
  epoch: EpochLine,
  style: SentenceStyle,
  reader: Reader,
): string[] {
  const { report } = epoch;
  const found: string[] = [];
  const say = (what: string, read: unknown, meant: unknown) => found.push(`${what}: read ${read}, meant ${meant}`);
  const limits = tolerances(style);
  for (const key of Object.keys(limits) as (keyof typeof limits)[]) {
    const read = decoded[key];
    if (read === undefined) continue;
    const meant = meantNumber(report, key, style);
    if (!isNear(read, meant, limits[key], key === 'courseDeg', reader)) say(key, read, meant);
  }
  if (decoded.timeMs !== undefined) {
    const offMs = decoded.timeMs - timeOfDayMs(report.utc, style, reader.cutsSeconds.includes(name));
    if (Math.abs(offMs) > ARITHMETIC) say('time', decoded.timeMs, report.utc);
  }
  if (decoded.date !== undefined && decoded.date !== report.utc?.slice(0, 10)) say('date', decoded.date, report.utc);
  for (const key of ['quality', 'status', 'mode', 'used', 'inView'] as const) {
    if (decoded[key] !== undefined && decoded[key] !== report[key]) say(key, decoded[key], report[key]);
  }
  if (decoded.fix !== undefined && !FIXES[report.fix]?.includes(decoded.fix)) say('fix', decoded.fix, report.fix);
  if (decoded.usedNumbers !== undefined) compareUsed(decoded.usedNumbers, epoch, say);
  for (const satellite of decoded.satellites ?? []) compareSatellite(satellite, epoch, reader, say);
  return found;
}

type Say = (what: string, read: unknown, meant: unknown) => void;

/** A number that the report means; of dilutions, what stands for an unknown one. */
function meantNumber(report: ReportLine, key: Numbers | 'hdop' | 'vdop' | 'pdop', style: SentenceStyle): number | null {
  const meant = report[key];
  if (!key.endsWith('dop')) return meant;
  if (meant === null) return style.unknownDop === '' ? null : Number(style.unknownDop);
  return Math.min(LARGEST_DOP, meant);
}

function isNear(read: number | null, meant: number | null, limit: number, isAngle: boolean, reader: Reader): boolean {
  if (meant === null) return read === null || Number.isNaN(read) || (reader.blankIsZero && Math.abs(read) === 0);
  if (read === null) return false;
  const off = Math.abs(read - meant);
  return (isAngle ? Math.min(off, 360 - off) : off) <= limit + Math.abs(meant) * reader.relativeError;
}

/** The time of day that is printed, ms; readers that cut off the fraction give the second. */
function timeOfDayMs(utc: string | null, { secondDecimals }: SentenceStyle, isCut: boolean): number {
  const [hour, minute, second] = (utc ?? '').slice(11, 23).split(':').map(Number) as [number, number, number];
  const printed = Math.round(second * 10 ** secondDecimals) / 10 ** secondDecimals;
  const shown = isCut ? Math.floor(printed) : printed;
  return (hour * 60 + minute) * 60_000 + Math.round(shown * 1000);
}

function compareUsed(numbers: readonly number[], { satellites }: EpochLine, say: Say): void {
  const used = satellites.filter(({ state }) => state === 'used').map(({ id }) => Number(id.slice(1)));
  const meant = used.slice(0, 12).join();
  if (numbers.join() !== meant) say('satellites used', numbers.join(), meant);
}

/** Half a degree or decibel, printed as whole ones. */
const HALF = 0.5 + ARITHMETIC;

function compareSatellite(
  { number, elevationDeg, azimuthDeg, cn0DbHz }: NonNullable<Decoded['satellites']>[number],
  { satellites }: EpochLine,
  reader: Reader,
  say: Say,
): void {
  const meant = satellites.find(({ id }) => Number(id.slice(1)) === number);
  if (meant === undefined) {
    say('satellite', number, 'none');
    return;
  }
  const isBlank = (value: number | null) => value === null || (reader.blankIsZero && value === 0);
  const isTracked = meant.state === 'tracking' || meant.state === 'used';
  const cn0 = isTracked ? meant.signals.L1.cn0DbHz : null;
  const isRight = cn0 === null ? isBlank(cn0DbHz) : cn0DbHz !== null && Math.abs(cn0DbHz - cn0) <= HALF;
  if (!isRight) say(`C/N0 of ${meant.id}`, cn0DbHz, cn0);
  // Without an orbit, time and place the module does not know where a satellite stands.
  if (isBlank(elevationDeg) && isBlank(azimuthDeg)) return;
  if (elevationDeg === null || Math.abs(elevationDeg - meant.elevationDeg) > HALF) {
    say(`elevation of ${meant.id}`, elevationDeg, meant.elevationDeg);
  }
  const off = Math.abs((azimuthDeg ?? Number.NaN) - meant.azimuthDeg);
  if (!(Math.min(off, 360 - off) <= HALF)) say(`azimuth of ${meant.id}`, azimuthDeg, meant.azimuthDeg);
}
