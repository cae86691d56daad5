import type { ModuleProfile } from '../emit/module-profile.js';
import type { SentenceName, SentenceStyle } from '../emit/sentences/style.js';

/** Bit times of a byte on the line: start bit, 8 data bits, stop bit. */
const BITS_PER_BYTE = 10;
/** Satellites in view of a usual open sky, for estimates. */
const USUAL_IN_VIEW = 12;

/** How full a module's line is, 1 being all of it: an estimate for a usual open sky of 12 satellites. */
export interface LineLoad {
  /** Over many epochs. */
  readonly average: number;
  /** The epoch with the most sentences. */
  readonly worstEpoch: number;
}

/** Estimates how full the line of a module is. */
export function lineLoad({ baud, epochMs, sentences, style }: ModuleProfile): LineLoad {
  const capacity = ((baud / BITS_PER_BYTE) * epochMs) / 1000;
  const bytesOf = (name: SentenceName) => bytesUsual(name, style);
  const average = sentences.reduce((sum, { name, every }) => sum + bytesOf(name) / every, 0);
  const worst = sentences.reduce((sum, { name }) => sum + bytesOf(name), 0);
  return { average: average / capacity, worstEpoch: worst / capacity };
}

/** The sentence that may become the longest with a module's decimals, and its length with CR LF, bytes. */
export function longestSentence({ style, sentences }: ModuleProfile): { name: SentenceName; bytes: number } {
  let longest: { name: SentenceName; bytes: number } = { name: 'GGA', bytes: 0 };
  for (const { name } of sentences) {
    const bytes = name === 'GSV' ? sentence(gsvFields(4, style)) : bytesMost(name, style);
    if (bytes > longest.bytes) longest = { name, bytes };
  }
  return longest;
}

/** Length of an address and fields of the widths given, with commas, checksum and CR LF, bytes. */
function sentence(widths: readonly number[]): number {
  const head = '$GPGGA'.length;
  const tail = '*hh\r\n'.length;
  return head + tail + widths.reduce((sum, width) => sum + 1 + width, 0);
}

/** A number of `digits` before the point and `decimals` behind it. */
function number(digits: number, decimals: number): number {
  return digits + (decimals > 0 ? 1 + decimals : 0);
}

/** Widths of latitude, hemisphere, longitude, hemisphere. */
function position({ minuteDecimals }: SentenceStyle): number[] {
  return [number(4, minuteDecimals), 1, number(5, minuteDecimals), 1];
}

function gsvFields(satellites: number, { version }: SentenceStyle): number[] {
  const each = [2, 2, 3, 2];
  return [1, 1, 2, ...Array.from({ length: satellites }, () => each).flat(), ...(version === '4.11' ? [1] : [])];
}

/** The longest that a sentence gets with a plausible motion: three digits of knots, four of metres. */
function bytesMost(name: SentenceName, style: SentenceStyle): number {
  const { version, secondDecimals, altitudeDecimals, speedDecimals, courseDecimals, dopDecimals } = style;
  const isNew = version === '4.11';
  const time = number(6, secondDecimals);
  const course = number(3, courseDecimals);
  const dop = number(2, dopDecimals);
  const widths: Record<Exclude<SentenceName, 'GSV'>, number[]> = {
    GGA: [time, ...position(style), 1, 2, dop, number(4, altitudeDecimals), 1, number(3, altitudeDecimals), 1, 0, 0],
    GLL: [...position(style), time, 1, 1],
    GSA: [1, 1, ...Array.from({ length: 12 }, () => 2), dop, dop, dop, ...(isNew ? [1] : [])],
    RMC: [time, 1, ...position(style), number(3, speedDecimals), course, 6, 4, 1, 1, ...(isNew ? [1] : [])],
    VTG: [course, 1, course, 1, number(3, speedDecimals), 1, number(3, speedDecimals), 1, 1],
    ZDA: [time, 2, 2, 4, 2, 2],
  };
  return sentence(widths[name as Exclude<SentenceName, 'GSV'>]);
}

/** Bytes of one epoch's worth of a sentence under a usual sky. */
function bytesUsual(name: SentenceName, style: SentenceStyle): number {
  if (name !== 'GSV') return bytesMost(name, style);
  return (USUAL_IN_VIEW / 4) * sentence(gsvFields(4, style));
}
