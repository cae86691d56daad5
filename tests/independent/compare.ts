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

/** What stands for each talker's satellites in RINEX names, and their signals by id (NMEA 0183, second hand). */
const TALKERS: Readonly<Record<string, { letter: string; signals: Readonly<Record<string, string>> }>> = {
  GP: { letter: 'G', signals: { 1: 'L1', 6: 'L2', 8: 'L5' } },
  GL: { letter: 'R', signals: { 1: 'G1', 3: 'G2' } },
  GA: { letter: 'E', signals: { 7: 'E1', 1: 'E5a', 2: 'E5b' } },
  GB: { letter: 'C', signals: { 1: 'B1', 5: 'B2a', 8: 'B3' } },
  GQ: { letter: 'J', signals: { 1: 'L1', 6: 'L2', 8: 'L5' } },
  GI: { letter: 'I', signals: { 1: 'L5' } },
};
const SYSTEM_LETTERS = ['', 'G', 'R', 'E', 'C', 'J', 'I'];

/** RINEX name of a satellite, by whose it is and the number read: SBAS from 33 on, GLONASS from 65 on. */
function idOf(letter: string, number: number): string {
  const own = letter === 'R' && number > 64 ? number - 64 : number;
  return letter === 'G' && own > 32 ? `S${own - 13}` : `${letter}${String(own).padStart(2, '0')}`;
}

const hasIds = ({ version }: SentenceStyle) => version === '4.10' || version === '4.11';

/** Where what a reader decoded of a sentence is not what the journal says, each as a text; empty where all is well. */
export function differences(
  text: string,
  decoded: Decoded,
  epoch: EpochLine,
  style: SentenceStyle,
  reader: Reader,
): string[] {
  const { report } = epoch;
  const name = text.slice(3, 6);
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
  if (decoded.inView !== undefined) compareInView(decoded.inView as number, text, epoch, say);
  for (const key of ['quality', 'status', 'mode', 'used'] as const) {
    if (decoded[key] !== undefined && decoded[key] !== report[key]) say(key, decoded[key], report[key]);
  }
  if (decoded.fix !== undefined && !FIXES[report.fix]?.includes(decoded.fix)) say('fix', decoded.fix, report.fix);
  if (decoded.usedNumbers !== undefined) compareUsed(decoded.usedNumbers, text, epoch, style, say);
  for (const satellite of decoded.satellites ?? []) compareSatellite(satellite, text, epoch, reader, style, say);
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

/** The numbers must be one GSA's of the system that the sentence names: twelve of those used, in order. */
function compareUsed(
  numbers: readonly number[],
  text: string,
  { satellites }: EpochLine,
  style: SentenceStyle,
  say: Say,
): void {
  const system = hasIds(style) ? SYSTEM_LETTERS[Number(text.slice(0, -3).split(',').at(-1))] : undefined;
  const used = satellites.filter(({ state }) => state === 'used').map(({ id }) => id);
  const isOwn = (id: string, letter: string) => id.startsWith(letter) || (letter === 'G' && id.startsWith('S'));
  for (const letter of system === undefined ? SYSTEM_LETTERS.slice(1) : [system]) {
    const own = used.filter((id) => isOwn(id, letter));
    const read = numbers.map((number) => idOf(letter, number)).join();
    for (let from = 0; from === 0 || from < own.length; from += 12) {
      if (own.slice(from, from + 12).join() === read) return;
    }
  }
  say('satellites used', numbers.join(), used.join());
}

/** Of one system with one signal all that the module lists; of several no more than there are of this one. */
function compareInView(inView: number, text: string, { report, satellites }: EpochLine, say: Say): void {
  const { letter } = TALKERS[text.slice(1, 3)] as NonNullable<(typeof TALKERS)[string]>;
  const own = satellites.filter(({ id }) => id.startsWith(letter) || (letter === 'G' && id.startsWith('S')));
  const isAlone = own.length === satellites.length && own.every(({ signals }) => Object.keys(signals).length < 2);
  const most = Math.min(report.inView, own.length);
  if (isAlone ? inView !== report.inView : !(inView <= most)) say('in view', inView, isAlone ? report.inView : most);
}

/** Half a degree or decibel, printed as whole ones; a reader that gives radians has a factor of nine digits. */
const HALF = 0.5 + 1e-7;

function compareSatellite(
  { number, elevationDeg, azimuthDeg, cn0DbHz }: NonNullable<Decoded['satellites']>[number],
  text: string,
  { satellites }: EpochLine,
  reader: Reader,
  style: SentenceStyle,
  say: Say,
): void {
  const { letter, signals } = TALKERS[text.slice(1, 3)] as NonNullable<(typeof TALKERS)[string]>;
  const id = idOf(letter, number);
  const meant = satellites.find((satellite) => satellite.id === id);
  if (meant === undefined) {
    say('satellite', number, 'none');
    return;
  }
  const isBlank = (value: number | null) => value === null || (reader.blankIsZero && value === 0);
  const isTracked = meant.state === 'tracking' || meant.state === 'used';
  const own: Readonly<Record<string, { cn0DbHz: number | null } | undefined>> = meant.signals;
  // Before 4.10 a satellite's first signal is listed, whichever that is.
  const names = hasIds(style) ? [signals[text.slice(0, -3).split(',').at(-1) as string] as string] : Object.keys(own);
  const levels = names.map((each) => own[each]?.cn0DbHz ?? null);
  const isLevel = levels.some((cn0) => cn0 !== null && cn0DbHz !== null && Math.abs(cn0DbHz - cn0) <= HALF);
  // Of two signals that arrive only one may be tracked.
  const mayBeBlank = !isTracked || Object.keys(own).length > 1 || levels.every((cn0) => cn0 === null);
  if (!(isTracked && isLevel) && !(mayBeBlank && isBlank(cn0DbHz))) say(`C/N0 of ${id}`, cn0DbHz, levels.join());
  // Without an orbit, time and place the module does not know where a satellite stands.
  if (isBlank(elevationDeg) && isBlank(azimuthDeg)) return;
  if (elevationDeg === null || Math.abs(elevationDeg - meant.elevationDeg) > HALF) {
    say(`elevation of ${id}`, elevationDeg, meant.elevationDeg);
  }
  const off = Math.abs((azimuthDeg ?? Number.NaN) - meant.azimuthDeg);
  if (!(Math.min(off, 360 - off) <= HALF)) say(`azimuth of ${id}`, azimuthDeg, meant.azimuthDeg);
}
