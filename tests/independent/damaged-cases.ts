import { sumOf } from '../faults/sentence-helper.js';

/**
 * What a parser refuses of some lines. `most`: all, but for {@link LUCKY} at most, where the damage is random: it may
 * strike what a parser does not look at (the line end, the first letter) or just the `*`, without which some take a
 * sentence unchecked.
 */
export type Part = 'all' | 'most' | 'some' | 'none';
export const LUCKY = 0.06;

/** The parsers, in the order of the tables' columns. */
export const COLUMNS = [
  'gps',
  'nmea-simple',
  '@signalk/nmea0183-signalk',
  'extended-nmea',
  'python3-nmea2 (default)',
  'python3-nmea2 (strict)',
] as const;
export type Column = (typeof COLUMNS)[number];

/** A fault, and what each parser refuses of the lines that it has damaged: as measured, and held to that. */
export interface Row {
  readonly fault: string;
  readonly with: Readonly<Record<string, unknown>>;
  /** Of the sentences; default: 4.10. */
  readonly version?: string;
  /** Of the run; default: 20 s. */
  readonly durationS?: number;
  readonly refused: readonly [Part, Part, Part, Part, Part, Part];
}

const ALL = ['all', 'all', 'all', 'all', 'all', 'all'] as const;
const NONE = ['none', 'none', 'none', 'none', 'none', 'none'] as const;
const MOST = ['most', 'most', 'most', 'most', 'most', 'most'] as const;
const half = (ending: string) => ({ ending, share: 0.5 });
const cutGsv = (missing: number, version: string) =>
  ({ fault: 'half-filled-gsv', with: { missing }, version }) as const;

/**
 * Faults that leave lines which are no whole sentence, of those lines. What a host's reader of lines does before (it
 * ends a line at LF) is part of it: with CR alone, or nothing, two sentences are one line.
 */
export const FLAWED: readonly Row[] = [
  { fault: 'bad-checksum', with: { share: 1 }, refused: ALL },
  { fault: 'bad-checksum', with: { share: 1, 'tell-tale': true }, refused: ALL },
  { fault: 'cut-then-dollar', with: { share: 0.5 }, refused: ALL },
  { fault: 'cut-then-dollar', with: { share: 0.5, 'tell-tale': true }, refused: ALL },
  // Two parsers take a sentence without a checksum by design; one of them, and one more, refuse half a one.
  { fault: 'checksum-form', with: { form: 'missing' }, refused: ['all', 'all', 'all', 'none', 'none', 'all'] },
  { fault: 'checksum-form', with: { form: 'half' }, refused: ['all', 'all', 'all', 'none', 'all', 'all'] },
  { fault: 'checksum-form', with: { form: 'star-only' }, refused: ['all', 'all', 'all', 'none', 'all', 'all'] },
  { fault: 'line-ending', with: half('cr'), refused: ['all', 'none', 'none', 'all', 'all', 'all'] },
  { fault: 'line-ending', with: half('none'), refused: ['all', 'none', 'none', 'all', 'all', 'all'] },
  { fault: 'line-ending', with: half('lf'), refused: ['none', 'none', 'none', 'all', 'none', 'none'] },
  // Of these the flawed lines are the empty ones.
  { fault: 'line-ending', with: half('doubled'), refused: ALL },
  // The CR comes before the next sentence: three begin by the $, or count their characters from it.
  { fault: 'line-ending', with: half('lf-cr'), refused: ['some', 'some', 'none', 'all', 'none', 'none'] },
  { fault: 'bit-errors', with: { rate: 2e-3 }, durationS: 150, refused: MOST },
  { fault: 'garbage-bytes', with: { share: 1 }, refused: ALL },
  { fault: 'nul-bytes', with: { share: 1 }, refused: ALL },
  { fault: 'binary-between', with: { share: 1 }, refused: ALL },
  { fault: 'endless-line', with: { share: 1 }, refused: ALL },
  // One takes a sentence whose checksum has got lost, if only its line ends there.
  {
    fault: 'host-overrun',
    with: { share: 1 },
    durationS: 150,
    refused: ['most', 'most', 'most', 'most', 'some', 'most'],
  },
];

/** Faults that leave whole sentences with a checksum that matches: of those that they have altered. */
export const WHOLE: readonly Row[] = [
  // One checks GGA's quality against its list.
  {
    fault: 'altered-digits',
    with: { share: 1, count: 30, sentences: ['GGA'] },
    durationS: 150,
    refused: ['some', 'none', 'none', 'none', 'none', 'none'],
  },
  { fault: 'checksum-form', with: { form: 'lowercase' }, refused: NONE },
  { fault: 'status-conflict', with: { sentences: ['RMC', 'GGA', 'GLL'] }, refused: NONE },
  { fault: 'odd-status', with: {}, refused: ['all', 'none', 'none', 'none', 'none', 'none'] },
  ...['altitude', 'separation', 'course', 'speed', 'time', 'date', 'cn0', 'variation'].map((which) => ({
    fault: 'blank-fields',
    with: { which: [which] },
    refused: NONE,
  })),
  { ...cutGsv(1, '4.10'), refused: NONE },
  { ...cutGsv(2, '4.10'), refused: ['all', 'none', 'none', 'all', 'none', 'none'] },
  { ...cutGsv(3, '4.10'), refused: ['none', 'none', 'none', 'all', 'none', 'none'] },
  { ...cutGsv(1, '2.3'), refused: ['all', 'none', 'none', 'all', 'none', 'none'] },
  { ...cutGsv(2, '2.3'), refused: ['none', 'none', 'none', 'all', 'none', 'none'] },
  { ...cutGsv(3, '2.3'), refused: NONE },
];

/** Faults whose every line is a whole sentence that the module meant at some time: only a host can notice. */
export const UNSEEN: ReadonlyArray<readonly [fault: string, settings: Readonly<Record<string, unknown>>]> = [
  ['lost-sentence', {}],
  ['sentence-order', { order: 'shuffled' }],
  ['stale-sentence', { sentences: ['GGA', 'GSV'] }],
  ['repeated-epoch', { share: 0.5 }],
];

/** What a parser does not do as it claims, with a line that shows it. */
export interface Deviation {
  readonly parser: Column;
  readonly why: string;
  readonly example: string;
  readonly isIt: (line: string) => boolean;
}

/** Whether the first hexadecimal digits behind the first `*` are the checksum of what stands before it. */
function isRightToTheFirstStar(line: string): boolean {
  const [before = '', behind = ''] = line.split('*');
  let sum = 0;
  for (const character of before.slice(1)) sum ^= character.charCodeAt(0);
  return Number.parseInt(behind, 16) === sum;
}

const whole = (body: string) => `$${body}*${sumOf(body)}`;
const TWO_AS_ONE = `${whole('GPZDA,064007.50,12,05,2026,00,00')}${whole('GPHDT,240.0,T')}\r\n`;
/** Both read with parseInt what stands between the first `*` and the next: `4C$GPHDT…` is 4C to them. */
const FIRST_STAR = 'takes the first of two sentences in one line, by its own checksum, and loses the second';

export const DEVIATIONS: readonly Deviation[] = [
  {
    parser: 'gps',
    why: 'checks of three wrong numbers of fields of GSV one only: a satellite that lacks its last two passes',
    example: `${whole('GPGSV,1,1,01,05,40')}\r\n`,
    isIt: (line) => line.slice(3, 6) === 'GSV' && line.split(',').length % 4 === 2,
  },
  { parser: 'nmea-simple', why: FIRST_STAR, example: TWO_AS_ONE, isIt: isRightToTheFirstStar },
  { parser: '@signalk/nmea0183-signalk', why: FIRST_STAR, example: TWO_AS_ONE, isIt: isRightToTheFirstStar },
  {
    parser: 'extended-nmea',
    why: 'takes every sentence whose fifth letter is Q for a query, and looks at no checksum of it',
    example: '$GPGGQ,120139.00,4706.3176,N,00812.3182,E,1,09,1.0,427.5,M,48.1,M,,*60\r\n',
    isIt: (line) => line[5] === 'Q',
  },
  {
    parser: 'python3-nmea2 (strict)',
    why: 'takes the control characters 1C to 1F behind the checksum, which are white space to Python',
    example: `${whole('GPHDT,240.0,T')}\x1d\n`,
    isIt: isControlledBehind,
  },
];

/** Whether a line ends with two digits of a checksum and a control character from 1C to 1F. */
function isControlledBehind(line: string): boolean {
  const text = line.trimEnd();
  const last = text.charCodeAt(text.length - 1);
  return last >= 0x1c && last <= 0x1f && /\*[0-9A-F]{2}$/i.test(text.slice(0, -1).trimEnd());
}
