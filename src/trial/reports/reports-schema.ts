import { IANAZone } from 'luxon';
import { z } from 'zod';
import { KNOT_MPS } from '../../base/constants.js';
import { byKey, type ChoiceProblem, choice, issue, strict, text, whole } from '../../scenario/fields.js';
import { pattern, problemOf } from '../host/host-schema.js';
import { DEFAULT_NONE_WORDS } from './field-names.js';
import { wrongTogether } from './reports-rules.js';
import type { FieldSettings, ReportsFormat, ReportsFrom, ReportsSettings, ReportsTime } from './reports-settings.js';

const DEG_PER_RAD = 180 / Math.PI;

/** Units of a field's numbers, and what each is in degrees, metres or m/s. */
const UNITS = {
  angle: { deg: 1, rad: DEG_PER_RAD, '1e-7 deg': 1e-7 },
  length: { m: 1, ft: 0.3048, mm: 0.001, km: 1000 },
  speed: { 'm/s': 1, kn: KNOT_MPS, 'km/h': 1 / 3.6, mph: 0.44704, 'cm/s': 0.01 },
} as const;

const NAME_EXPECTED = 'the name of a field, a JSON pointer such as /position/lat, or the number of a column';

/** A name; one that begins with a slash is a JSON pointer (RFC 6901) where nothing is named so. */
const FIELD_NAME = text(200).regex(/^(?!\/)|^(?:[^~]|~[01])*$/, {
  error: `expected ${NAME_EXPECTED}; ~ is written ~0 in one`,
});

const NAME_VARIANTS = [
  FIELD_NAME.transform((name): FieldSettings => ({ name, factor: 1 })),
  whole(1, 1000).transform((number): FieldSettings => ({ name: String(number), factor: 1 })),
  z.literal(false).transform(() => null),
] as const;

const NAME = choice([FIELD_NAME, whole(1, 1000)], (value) => selectName(value, NAME_EXPECTED)).transform(String);

function selectName(value: unknown, expected: string): number | ChoiceProblem {
  if (typeof value === 'string') return 0;
  if (typeof value === 'number') return 1;
  return { kind: value === undefined ? 'required' : 'type', expected };
}

function isMapping(value: unknown): boolean {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function selectField(value: unknown): number | ChoiceProblem {
  if (value === false) return 2;
  if (isMapping(value)) return 3;
  return selectName(value, `${NAME_EXPECTED}; false for none, or a mapping with the key field`);
}

/** A field that is a number with a unit. */
function measured(units: Readonly<Record<string, number>>, what: string) {
  const names = Object.keys(units);
  const unit = z.enum(names, { error: `expected one of ${names.join(', ')}` });
  const mapping = strict({
    field: NAME.optional().describe('Where it is; default: the usual names'),
    unit: unit.default(names[0] as string).describe(`Unit of its numbers; default: ${names[0]}`),
  }).transform(({ field, unit: name }): FieldSettings => ({ name: field ?? null, factor: units[name] as number }));
  return choice([...NAME_VARIANTS, mapping], selectField)
    .optional()
    .describe(what);
}

/** A field without a unit. */
function plain(what: string) {
  const mapping = strict({ field: NAME }).transform(({ field }): FieldSettings => ({ name: field, factor: 1 }));
  return choice([...NAME_VARIANTS, mapping], selectField)
    .optional()
    .describe(what);
}

const wordsError = 'expected a list of values, such as [NO_FIX, 0, false]';
const VALUES = z.array(
  z.union([z.string(), z.number(), z.boolean(), z.null()], { error: 'expected text, a number, true or false' }),
  { error: wordsError },
);

const inLowerCase = (value: unknown) =>
  String(value ?? '')
    .trim()
    .toLowerCase();

const FIX_MAPPING = strict({
  field: NAME.optional().describe('Where it is; default: the usual names'),
  none: VALUES.optional().describe(
    `Its values that say that there is no fix; default: ${DEFAULT_NONE_WORDS.join(', ')}`,
  ),
}).transform(({ field, none }) => ({ name: field ?? null, factor: 1, none: none?.map(inLowerCase) ?? null }));

const FIELDS = strict({
  latitude: measured(UNITS.angle, 'Latitude, positive north'),
  longitude: measured(UNITS.angle, 'Longitude, positive east'),
  height: measured(UNITS.length, 'Height above mean sea level'),
  speed: measured(UNITS.speed, 'Speed over ground'),
  course: measured(UNITS.angle, 'Course over ground, clockwise from true north'),
  time: plain('Time of the fix'),
  used: plain('How many satellites are used; the length of a list'),
  'in-view': plain('How many satellites are in view; the length of a list'),
  fix: choice([...NAME_VARIANTS, FIX_MAPPING], selectField)
    .optional()
    .describe('Whether there is a fix'),
});

const FROM_WORDS = ['stdout', 'stderr', 'tcp', 'http'] as const;
const FROM_KEYS = ['file', 'tcp', 'http'];
const selectFromKey = byKey('where reports come from', FROM_KEYS, []);

const FILE = text(4096).superRefine((value, context) => {
  const params = problemOf(value);
  if (params !== null) context.issues.push(issue(value, params));
});

const PORT = whole(0, 65_535).describe('Where Lodestub listens, on 127.0.0.1; 0: at a free port');

const FROM = choice(
  [
    z
      .enum(FROM_WORDS, { error: `expected one of ${FROM_WORDS.join(', ')}, or { file: ./out.jsonl }` })
      .transform((kind): ReportsFrom => (kind === 'tcp' || kind === 'http' ? { kind, port: 0 } : { kind })),
    strict({ file: FILE.describe('A file that the host writes, relative to this file') }, FROM_KEYS).transform(
      ({ file }): ReportsFrom => ({ kind: 'file', path: file }),
    ),
    strict({ tcp: PORT }, FROM_KEYS).transform(({ tcp }): ReportsFrom => ({ kind: 'tcp', port: tcp })),
    strict({ http: PORT }, FROM_KEYS).transform(({ http }): ReportsFrom => ({ kind: 'http', port: http })),
  ],
  (value) => {
    if (typeof value === 'string') return 0;
    if (!isMapping(value))
      return { kind: 'type', expected: `one of ${FROM_WORDS.join(', ')}, or { file: ./out.jsonl }` };
    const answer = selectFromKey(value);
    return typeof answer === 'number' ? answer + 1 : answer;
  },
);

const FORMATS = ['json-lines', 'csv', 'gpx', 'geojson', 'text', 'nmea'] as const;

const ZONE = text(100).superRefine((value, context) => {
  if (value === 'UTC' || IANAZone.isValidZone(value)) return;
  const expected = 'a time zone by its name in the IANA database, such as Europe/Oslo, or UTC';
  context.issues.push(issue(value, { kind: 'unknown-word', expected }));
});

const TIME_WORDS = ['utc', 'unix-s', 'unix-ms', 'arrival'] as const;

const TIME = choice(
  [
    z.enum(TIME_WORDS).transform((word): ReportsTime => {
      return word === 'utc' ? { kind: 'calendar', zone: 'UTC', form: null } : { kind: word };
    }),
    strict({
      zone: ZONE.default('UTC').describe('Of times that name no zone of their own'),
      form: text(100).optional().describe('As yyyy-MM-dd HH:mm:ss (the tokens of Luxon); default: ISO 8601'),
    }).transform(({ zone, form }): ReportsTime => ({ kind: 'calendar', zone, form: form ?? null })),
  ],
  (value) => {
    if (typeof value === 'string') return 0;
    if (isMapping(value)) return 1;
    return { kind: 'type', expected: `one of ${TIME_WORDS.join(', ')}, or a mapping with zone or form` };
  },
);

const PATTERN = pattern('what a line that is a report is like, with named groups such as (?<latitude>\\S+)');

const patternsError = 'expected a regular expression, or a list of them';

/** A pattern, or a list of them. */
function patterns(one: typeof PATTERN, what: string) {
  return choice([one, z.array(one, { error: patternsError })], (value) => (Array.isArray(value) ? 1 : 0))
    .transform((value): RegExp[] => (Array.isArray(value) ? value : [value]))
    .optional()
    .describe(what);
}

const SHAPE = {
  from: FROM.prefault('stdout').describe('Where they come from; from tcp and http Lodestub takes them itself'),
  format: z.enum(FORMATS).describe('How they are written'),
  pattern: patterns(PATTERN, 'text: what a line that is a report is like; its named groups are the fields'),
  delimiter: z
    .string({ error: 'expected one character' })
    .regex(/^[^\r\n"]$/u, { error: 'expected one character' })
    .optional()
    .describe('csv: between columns; default: the one of , ; and tab that the first line has most of'),
  header: z.boolean().optional().describe('csv: the first line names the columns; default: true without columns'),
  columns: z
    .array(text(200), { error: 'expected a list of names, one for each column' })
    .min(1, { error: 'expected a list of names, one for each column' })
    .max(1000, { error: 'expected at most 1000 names' })
    .optional()
    .describe('csv: names of the columns, where no line has them'),
  'decimal-comma': z.boolean().default(false).describe('csv, text: numbers are written 63,4305'),
  time: TIME.prefault('utc').describe('What times are in: utc, unix-s, unix-ms, a zone; arrival: they tell none'),
  fields: FIELDS.prefault({}).describe('Where each value is: by name, JSON pointer or number of a column'),
  blank: VALUES.default([]).describe('Values that stand for nothing, beside null and empty text, such as [NaN, --]'),
  'no-fix': patterns(pattern('what a line that tells of no fix is like'), 'A line that says that there is no fix'),
  'without-place': z
    .enum(['unknown', 'no-fix'])
    .default('unknown')
    .describe('What a report without latitude and longitude says of the fix'),
};

/** The definition of a trial's `reports:`. */
export const REPORTS_SCHEMA = strict(SHAPE)
  .superRefine((raw, context) => {
    for (const { key, params } of wrongTogether(raw)) {
      context.issues.push({ ...issue(raw[key as keyof typeof raw], params), path: [key] });
    }
  })
  .transform((raw): ReportsSettings => {
    const { fix, ...fields } = raw.fields;
    const usual: FieldSettings = { name: null, factor: 1 };
    const orUsual = (field: FieldSettings | null | undefined) => (field === undefined ? usual : field);
    const none = fix !== undefined && fix !== null && 'none' in fix ? fix.none : null;
    return {
      from: raw.from,
      format: formatOf(raw),
      time: raw.time,
      fields: {
        latitude: orUsual(fields.latitude),
        longitude: orUsual(fields.longitude),
        height: orUsual(fields.height),
        speed: orUsual(fields.speed),
        course: orUsual(fields.course),
        time: orUsual(fields.time),
        used: orUsual(fields.used),
        'in-view': orUsual(fields['in-view']),
        fix: orUsual(fix === undefined || fix === null ? fix : { name: fix.name, factor: 1 }),
      },
      noneWords: none ?? DEFAULT_NONE_WORDS,
      blankWords: raw.blank.map(inLowerCase),
      noFix: raw['no-fix'] ?? [],
      withoutPlace: raw['without-place'],
      decimalComma: raw['decimal-comma'],
    };
  });

/** What `reports:` has in a trial's file. */
export type RawReports = z.output<z.ZodObject<typeof SHAPE>>;

function formatOf(raw: RawReports): ReportsFormat {
  if (raw.format === 'text') return { name: 'text', patterns: raw.pattern ?? [] };
  if (raw.format !== 'csv') return { name: raw.format };
  const columns = raw.columns ?? null;
  return { name: 'csv', delimiter: raw.delimiter ?? null, header: raw.header ?? columns === null, columns };
}
