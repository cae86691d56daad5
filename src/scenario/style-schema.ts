import { z } from 'zod';
import {
  BEIDOU_IDS,
  BEIDOU_L2_SIGNALS,
  BEIDOU_TALKERS,
  DEFAULT_STYLE,
  GALILEO_IDS,
  GLONASS_IDS,
  GSA_DIVISIONS,
  GSA_TALKERS,
  GSV_SEQUENCES,
  GSV_WHEN_NONE,
  QZSS_IDS,
  QZSS_TALKERS,
  SBAS_IDS,
  SENTENCE_VERSIONS,
  type SentenceStyle,
  SIGNAL_ID_BASES,
  TALKER_RULES,
  UTC_ZONE,
  VTG_AT_REST,
} from '../emit/sentences/style.js';
import { issue, numericWord, strict, whole } from './fields.js';

const talkerError = `expected ${TALKER_RULES.join(', ')}, or two capital letters such as GP or GN`;

const DECIMALS = strict({
  minutes: whole(0, 8).default(DEFAULT_STYLE.minuteDecimals).describe('of the minutes of latitude and longitude'),
  seconds: whole(0, 3).default(DEFAULT_STYLE.secondDecimals).describe('of the seconds of time'),
  altitude: whole(0, 3).default(DEFAULT_STYLE.altitudeDecimals).describe('of heights and their deviations, m'),
  speed: whole(0, 3).default(DEFAULT_STYLE.speedDecimals).describe('of the speed, kn and km/h'),
  course: whole(0, 3).default(DEFAULT_STYLE.courseDecimals).describe('of courses and headings, deg'),
  dop: whole(1, 2).default(DEFAULT_STYLE.dopDecimals).describe('of the dilutions of precision'),
  cn0: whole(0, 1).default(DEFAULT_STYLE.cn0Decimals).describe('of C/N0, dB-Hz'),
});

/** Hours of a zone description, either way (NMEA 0183, from memory). */
const MOST_ZONE_HOURS = 13;
const ZONE_EXPECTED = `00, '' for blank, or whole hours from -${MOST_ZONE_HOURS} to ${MOST_ZONE_HOURS} such as -5`;

/** What ZDA says of the local zone: whole hours, or nothing. */
const ZDA_ZONE = z
  .unknown()
  .meta({ anyOf: [{ enum: ['', '00'] }, { type: 'integer', minimum: -MOST_ZONE_HOURS, maximum: MOST_ZONE_HOURS }] })
  .transform((value, context): string => {
    if (value === '') return ',';
    if (value === '00') return UTC_ZONE;
    if (typeof value === 'number' && Number.isInteger(value) && Math.abs(value) <= MOST_ZONE_HOURS) {
      return `${value < 0 ? '-' : ''}${String(Math.abs(value)).padStart(2, '0')},00`;
    }
    context.issues.push(issue(value, { kind: 'range', expected: ZONE_EXPECTED }));
    return z.NEVER;
  });

/** The settings of how a module writes, each with its default. */
export const STYLE_SHAPE = {
  version: numericWord(SENTENCE_VERSIONS).prefault(DEFAULT_STYLE.version).describe('Version of the sentence standard'),
  talker: z
    .string({ error: talkerError })
    .regex(/^(auto|used|[A-OQ-Z][A-Z])$/, { error: talkerError })
    .default(DEFAULT_STYLE.talker)
    .describe('Who speaks: auto, by the systems that the receiver has; used, by those of the fix; or always the same'),
  'gsa-talker': z
    .enum(GSA_TALKERS)
    .default(DEFAULT_STYLE.gsaTalker)
    .describe('common: as talker says; system: each GSA under its own system'),
  'qzss-talker': z.enum(QZSS_TALKERS).default(DEFAULT_STYLE.qzssTalker).describe('Under whom QZSS is listed'),
  'beidou-talker': z.enum(BEIDOU_TALKERS).default(DEFAULT_STYLE.beidouTalker).describe('Under whom BeiDou is listed'),
  'glonass-ids': z.enum(GLONASS_IDS).default(DEFAULT_STYLE.glonassIds).describe('Where its satellite numbers begin'),
  'galileo-ids': z.enum(GALILEO_IDS).default(DEFAULT_STYLE.galileoIds).describe('Where its satellite numbers begin'),
  'beidou-ids': z.enum(BEIDOU_IDS).default(DEFAULT_STYLE.beidouIds).describe('Where its satellite numbers begin'),
  'qzss-ids': z.enum(QZSS_IDS).default(DEFAULT_STYLE.qzssIds).describe('Where its satellite numbers begin'),
  'sbas-ids': z.enum(SBAS_IDS).default(DEFAULT_STYLE.sbasIds).describe('Where its satellite numbers begin'),
  gsa: z
    .enum(GSA_DIVISIONS)
    .default(DEFAULT_STYLE.gsa)
    .describe('per-system: a GSA for each system; combined: all systems in one'),
  'gsv-sequence': z
    .enum(GSV_SEQUENCES)
    .default(DEFAULT_STYLE.gsvSequence)
    .describe('per-signal: each signal’s GSV are counted anew; running: the count goes on'),
  'pad-gsv': z.boolean().default(DEFAULT_STYLE.padGsv).describe('The last GSV is filled up with blank fields'),
  'gsv-when-none': z
    .enum(GSV_WHEN_NONE)
    .default(DEFAULT_STYLE.gsvWhenNone)
    .describe('What comes of GSV for a system without a satellite in view'),
  'signal-ids': z.enum(SIGNAL_ID_BASES).default(DEFAULT_STYLE.signalIds).describe('How signal ids are written'),
  'beidou-l2': z
    .enum(BEIDOU_L2_SIGNALS)
    .default(DEFAULT_STYLE.beidouL2)
    .describe('As what its signal in L2 is listed: B3I, signal id 8, or B2I of older satellites, id B'),
  'untracked-cn0': numericWord(['', '00'])
    .prefault(DEFAULT_STYLE.untrackedCn0)
    .describe('What stands for the C/N0 of a satellite that is not tracked'),
  'cap-used': z.boolean().default(DEFAULT_STYLE.capUsed).describe('No more than twelve satellites are counted as used'),
  'long-lines': z.boolean().default(DEFAULT_STYLE.longLines).describe('Sentences may exceed 82 characters'),
  'magnetic-variation': z
    .boolean()
    .default(DEFAULT_STYLE.magneticVariation)
    .describe('The module knows the magnetic variation'),
  'vtg-at-rest': z
    .enum(VTG_AT_REST)
    .default(DEFAULT_STYLE.vtgAtRest)
    .describe('blank: where there is no course, at rest, VTG tells no speed either'),
  'zda-zone': ZDA_ZONE.prefault('00').describe('ZDA’s local zone: 00, blank, or hours; its date and time stay UTC'),
  'leading-zeros': z
    .boolean()
    .default(DEFAULT_STYLE.leadingZeros)
    .describe('false: degrees and minutes are a plain number, 1131.00 for a longitude of 11 deg 31 min'),
  carry: z
    .boolean()
    .default(DEFAULT_STYLE.carry)
    .describe('false: minutes and seconds are rounded up to 60, as by faulty firmware'),
  decimals: DECIMALS.prefault({}).describe('Digits after the point'),
  'unknown-dop': numericWord(['99.99', ''])
    .prefault(DEFAULT_STYLE.unknownDop)
    .describe('What stands for an unknown dilution of precision'),
};

/** The names of settings in a profile, by those of {@link SentenceStyle}, where a message needs them. */
export const STYLE_KEYS: Readonly<Partial<Record<keyof SentenceStyle, keyof typeof STYLE_SHAPE>>> = {
  qzssIds: 'qzss-ids',
};

type StyleSettings = { readonly [Key in keyof typeof STYLE_SHAPE]: z.output<(typeof STYLE_SHAPE)[Key]> };

/** A style from checked settings. */
export function styleFrom(settings: StyleSettings): SentenceStyle {
  const { decimals } = settings;
  return {
    version: settings.version,
    talker: settings.talker,
    gsaTalker: settings['gsa-talker'],
    qzssTalker: settings['qzss-talker'],
    beidouTalker: settings['beidou-talker'],
    glonassIds: settings['glonass-ids'],
    galileoIds: settings['galileo-ids'],
    beidouIds: settings['beidou-ids'],
    qzssIds: settings['qzss-ids'],
    sbasIds: settings['sbas-ids'],
    gsa: settings.gsa,
    gsvSequence: settings['gsv-sequence'],
    padGsv: settings['pad-gsv'],
    gsvWhenNone: settings['gsv-when-none'],
    signalIds: settings['signal-ids'],
    beidouL2: settings['beidou-l2'],
    untrackedCn0: settings['untracked-cn0'],
    cn0Decimals: decimals.cn0,
    capUsed: settings['cap-used'],
    longLines: settings['long-lines'],
    magneticVariation: settings['magnetic-variation'],
    vtgAtRest: settings['vtg-at-rest'],
    zdaZone: settings['zda-zone'],
    leadingZeros: settings['leading-zeros'],
    carry: settings.carry,
    minuteDecimals: decimals.minutes,
    secondDecimals: decimals.seconds,
    altitudeDecimals: decimals.altitude,
    speedDecimals: decimals.speed,
    courseDecimals: decimals.course,
    dopDecimals: decimals.dop,
    unknownDop: settings['unknown-dop'],
  };
}
