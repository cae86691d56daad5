/** Where the host's reports come from. */
export type ReportsFrom =
  | { readonly kind: 'stdout' | 'stderr' }
  /** A file that the host writes, relative to the trial's file; placeholders are not filled in yet. */
  | { readonly kind: 'file'; readonly path: string }
  /** We listen on 127.0.0.1; port 0 takes a free one. */
  | { readonly kind: 'tcp' | 'http'; readonly port: number };

/** How a report is written. */
export type ReportsFormat =
  | { readonly name: 'json-lines' | 'gpx' | 'geojson' | 'nmea' }
  | {
      readonly name: 'csv';
      /** Null: the one of `,` `;` and tab that the first line has most of. */
      readonly delimiter: string | null;
      /** The first line names the columns. */
      readonly header: boolean;
      /** Names of the columns, where no line has them; null: they go by their numbers, from 1. */
      readonly columns: readonly string[] | null;
    }
  /** The first that matches a line counts; its named groups are the fields. */
  | { readonly name: 'text'; readonly patterns: readonly RegExp[] };

/** What is told of a host's times. */
export type ReportsTime =
  /** `form` in the tokens of Luxon; null: ISO 8601. A text without a zone of its own is in `zone`. */
  | { readonly kind: 'calendar'; readonly zone: string; readonly form: string | null }
  | { readonly kind: 'unix-s' | 'unix-ms' }
  /** Reports tell no time: when they came is all that is known. */
  | { readonly kind: 'arrival' };

/** What a report may tell. */
export const FIELD_NAMES = [
  ...(['latitude', 'longitude', 'height', 'speed', 'course', 'time'] as const),
  ...(['used', 'in-view', 'fix'] as const),
] as const;

/** The name of what a report may tell. */
export type FieldName = (typeof FIELD_NAMES)[number];

/** Where a field is found, and how it is read. */
export interface FieldSettings {
  /** Name, JSON pointer or number of a column, as the trial has it; null: the usual names. */
  readonly name: string | null;
  /** What its number is multiplied by to be in degrees, metres or m/s. */
  readonly factor: number;
}

/** The `reports:` section of a trial. */
export interface ReportsSettings {
  readonly from: ReportsFrom;
  readonly format: ReportsFormat;
  readonly time: ReportsTime;
  /** Null: it is not read. */
  readonly fields: Readonly<Record<FieldName, FieldSettings | null>>;
  /** Values of the field `fix` that say that there is none, in lower case. */
  readonly noneWords: readonly string[];
  /** Texts that stand for no value, beside an empty one, in lower case. */
  readonly blankWords: readonly string[];
  /** A line that one of these matches says that there is no fix. */
  readonly noFix: readonly RegExp[];
  /** What a report without the fields latitude and longitude says: nothing of a fix, or that there is none. */
  readonly withoutPlace: 'unknown' | 'no-fix';
  /** Numbers have a comma where the fraction begins. */
  readonly decimalComma: boolean;
}
