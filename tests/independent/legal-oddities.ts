import { writeSentences } from '../../src/emit/sentences/registry.js';
import { SENTENCE_NAMES, type SentenceName, type SentenceStyle } from '../../src/emit/sentences/style.js';
import type { Report } from '../../src/sim/epoch.js';
import { ALL, FIX, inView, modes, NOTHING, style, TIME_ONLY } from '../emit/sentences/helper.js';
import { sumOf } from '../faults/sentence-helper.js';
import type { Column } from './damaged-cases.js';

/** Sentences that the standard allows, and that modules send. */
export interface Oddity {
  readonly what: string;
  readonly lines: readonly string[];
}

const COMMON: readonly SentenceName[] = ['GGA', 'GLL', 'GSA', 'GSV', 'RMC', 'VTG', 'ZDA'];

function written(
  report: Report,
  how: Partial<SentenceStyle> = {},
  names: readonly SentenceName[] = COMMON,
): readonly string[] {
  return writeSentences(report, style(how), names).map((text) => `${text}\r\n`);
}

const byHand = (...bodies: readonly string[]) => bodies.map((body) => `$${body}*${sumOf(body)}\r\n`);

const QZSS: Report = {
  ...FIX,
  systemModes: modes('A', 'gps', 'qzss'),
  inView: [inView('J02', 83.2, 40.5, { L1: 46.4 }), inView('J03', 180, 70.2, { L1: 41 })],
  used: ['G02', 'G05', 'J02', 'J03'],
};

export const ODDITIES: readonly Oddity[] = [
  { what: 'nothing known: all blank, status V', lines: written(NOTHING, {}, SENTENCE_NAMES) },
  { what: 'the time alone, without a date', lines: written(TIME_ONLY) },
  { what: 'a dilution that is not known blank', lines: written(NOTHING, { unknownDop: '' }) },
  { what: 'no satellite in view: count 00', lines: written(NOTHING, {}, ['GSV']) },
  { what: 'version 4.11: navigational status, system and signal ids', lines: written(FIX, { version: '4.11' }) },
  { what: 'version 2.3: modes', lines: written(FIX, { version: '2.3' }) },
  { what: 'version 2.1: no modes', lines: written(FIX, { version: '2.1' }) },
  { what: 'talker GN', lines: written(FIX, { talker: 'GN' }) },
  { what: 'talkers of seven systems, several GSA an epoch', lines: written(ALL, { talker: 'auto' }) },
  { what: 'all systems in one GSA, its system id blank', lines: written(ALL, { talker: 'GN', gsa: 'combined' }) },
  { what: 'BeiDou under BD', lines: written(ALL, { beidouTalker: 'BD' }, ['GSV']) },
  { what: 'QZSS under QZ', lines: written(QZSS, { qzssTalker: 'QZ' }, ['GSV']) },
  { what: 'QZSS under PQ', lines: written(QZSS, { qzssTalker: 'PQ' }, ['GSV']) },
  {
    what: 'numbers of three digits',
    lines: written(
      { ...ALL, inView: [...ALL.inView, ...QZSS.inView] },
      {
        qzssIds: '193+',
        beidouIds: '201+',
        galileoIds: '301+',
        sbasIds: '120+',
      },
    ),
  },
  // B: BeiDou's B2I (NMEA 0183 4.11, second hand).
  { what: 'a hexadecimal signal id', lines: byHand('GBGSV,1,1,01,05,40,083,46,B') },
  { what: 'the last GSV padded with blank fields', lines: written(FIX, { padGsv: true }, ['GSV']) },
  { what: 'C/N0 00 where it is not tracked', lines: written(FIX, { untrackedCn0: '00' }, ['GSV']) },
  { what: 'C/N0 with a decimal', lines: written(FIX, { cn0Decimals: 1 }, ['GSV']) },
  ...[0, 1, 2, 3].map((secondDecimals) => ({
    what: `seconds with ${secondDecimals} decimals`,
    lines: written(FIX, { secondDecimals }),
  })),
  { what: 'minutes with 2 decimals', lines: written(FIX, { minuteDecimals: 2 }) },
  {
    what: 'minutes with 8 decimals, lines of more than 82 characters',
    lines: written(ALL, { minuteDecimals: 8, secondDecimals: 3, longLines: true }),
  },
  { what: 'minutes without decimals', lines: byHand('GPGLL,3330,S,07015,W,064007,A,A') },
  { what: 'an estimated fix: quality 6, mode E', lines: written({ ...FIX, quality: 6, mode: 'E' }) },
  {
    what: 'no course, no height, no separation',
    lines: written({ ...FIX, courseDeg: null, altitudeMslM: null, geoidSeparationM: null }),
  },
  { what: 'a blank height with its unit', lines: byHand('GPGGA,064007.50,3330.0000,S,07015.0000,W,1,04,0.9,,M,,M,,') },
  {
    what: 'a leap second',
    lines: written({
      ...FIX,
      utc: { year: 2016, month: 12, day: 31, hour: 23, minute: 59, second: 60 },
      utcMinuteS: 61,
    }),
  },
  {
    what: 'a blank zone, and a negative one',
    lines: byHand('GPZDA,064007.50,12,05,2026,,', 'GPZDA,064007.50,12,05,2026,-03,00'),
  },
];

/** Where a parser does not take an oddity, in part or at all: of which sentences, what it does, and why. */
export interface Exception {
  readonly what: string;
  readonly parser: Column;
  /** By talker and kind, or by kind. */
  readonly names: readonly string[];
  readonly does: 'refuses' | 'silent';
  readonly why: string;
}

const SIGNAL_K = '@signalk/nmea0183-signalk';
const MANY_BLANKS = 'says nothing where many fields are blank (its GGA: more than four)';
const QZSS_IS_PRIVATE = "takes every talker that begins with P for a maker's own sentence";

export const EXCEPTIONS: readonly Exception[] = [
  {
    what: 'nothing known: all blank, status V',
    parser: SIGNAL_K,
    names: ['GGA', 'GLL', 'VTG', 'ZDA', 'GNS', 'HDT', 'ROT'],
    does: 'silent',
    why: MANY_BLANKS,
  },
  ...['the time alone, without a date', 'a dilution that is not known blank'].map((what) => ({
    what,
    parser: SIGNAL_K as Column,
    names: ['GGA', 'GLL', 'VTG', 'ZDA'],
    does: 'silent' as const,
    why: MANY_BLANKS,
  })),
  {
    what: 'no course, no height, no separation',
    parser: SIGNAL_K,
    names: ['GGA'],
    does: 'silent',
    why: MANY_BLANKS,
  },
  { what: 'QZSS under PQ', parser: 'nmea-simple', names: ['PQGSV'], does: 'refuses', why: QZSS_IS_PRIVATE },
  { what: 'QZSS under PQ', parser: SIGNAL_K, names: ['PQGSV'], does: 'silent', why: QZSS_IS_PRIVATE },
  { what: 'QZSS under PQ', parser: 'extended-nmea', names: ['PQGSV'], does: 'refuses', why: QZSS_IS_PRIVATE },
  {
    what: 'version 2.1: no modes',
    parser: 'extended-nmea',
    names: ['GLL'],
    does: 'refuses',
    why: 'wants seven fields, of which the mode is one: it does not claim versions before 2.3',
  },
];
