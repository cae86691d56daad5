import jsonpointer from 'jsonpointer';
import { isMapping } from '../../base/is-mapping.js';
import { plainName, USUAL_HOLDERS, USUAL_NAMES } from './field-names.js';
import type { ReadReport, ReportContext } from './report-reader.js';
import { readTime } from './report-time.js';
import { FIELD_NAMES, type FieldName, type ReportsSettings } from './reports-settings.js';
import { shown } from './shown.js';

/** A report's values by their names, before anything is made of them. */
export type RawFields = Readonly<Record<string, unknown>>;

/** What was made of a report. */
export type Reading =
  | { readonly kind: 'report'; readonly read: Omit<ReadReport, 'text'> }
  /** `why` is a clause without a full stop. */
  | { readonly kind: 'bad'; readonly why: string }
  /** It tells nothing of place, time or satellites. */
  | { readonly kind: 'other' };

/** A report that tells nothing. */
const SILENT: Omit<ReadReport, 'text'> = {
  utcMs: null,
  isDateTold: false,
  hasFix: null,
  latitudeDeg: null,
  longitudeDeg: null,
  altitudeMslM: null,
  speedMps: null,
  courseDeg: null,
  used: null,
  inView: null,
};

/** A report that there is no fix, at a time that is not told. */
export const NO_FIX: Omit<ReadReport, 'text'> = { ...SILENT, hasFix: false };

/** A report of what is known of it. */
export function reportOf(known: Partial<Omit<ReadReport, 'text'>>): Omit<ReadReport, 'text'> {
  return { ...SILENT, ...known };
}

/** What is wrong with a value; thrown and caught within this file alone. */
class Unreadable extends Error {}

/** Makes reports of mappings of values, as the settings say where each stands and in which unit. */
export class FieldReader {
  readonly #settings: ReportsSettings;
  readonly #context: ReportContext;
  readonly #usual: ReadonlyMap<string, FieldName>;
  readonly #seen = new Set<string>();
  #silent = 0;

  constructor(settings: ReportsSettings, context: ReportContext) {
    this.#settings = settings;
    this.#context = context;
    const usual = new Map<string, FieldName>();
    for (const field of FIELD_NAMES) {
      if (settings.fields[field]?.name !== null) continue;
      for (const name of USUAL_NAMES[field]) usual.set(plainName(name), field);
    }
    this.#usual = usual;
  }

  /** Names that were there where none of the fields was; null: that never was so. */
  hint(): string | null {
    if (this.#silent === 0) return null;
    const names = [...this.#seen].join(', ');
    const wanted = (['latitude', 'longitude'] as const).map((field) => {
      return this.#settings.fields[field]?.name ?? USUAL_NAMES[field].join(' or ');
    });
    return `${this.#silent} without any of the fields, such as ${wanted.join(' and ')}; what they have is ${names}`;
  }

  /** True where a name is one of those that a field may stand under. */
  knows(name: string): boolean {
    const isNamed = Object.values(this.#settings.fields).some((field) => field?.name === name);
    return isNamed || this.#usual.has(plainName(name));
  }

  /** Names that the trial has for fields and that are none of these columns; numbers and pointers aside. */
  missing(columns: readonly string[]): string[] {
    const named = Object.values(this.#settings.fields).flatMap((field) => field?.name ?? []);
    return named.filter((name) => !columns.includes(name) && !/^(\d+$|\/)/.test(name));
  }

  /** Never throws for what the values are. */
  read(raw: RawFields): Reading {
    try {
      return this.#read(this.#find(raw), raw);
    } catch (error) {
      if (error instanceof Unreadable) return { kind: 'bad', why: error.message };
      throw error;
    }
  }

  /** What a line tells that says that there is no fix: the time of its values counts, if they have one. */
  readNoFix(raw: RawFields): Reading {
    try {
      return { kind: 'report', read: { ...NO_FIX, ...this.#time(this.#find(raw)) } };
    } catch (error) {
      if (error instanceof Unreadable) return { kind: 'bad', why: error.message };
      throw error;
    }
  }

  #read(values: ReadonlyMap<FieldName, unknown>, raw: RawFields): Reading {
    const { noneWords, withoutPlace } = this.#settings;
    const fix = values.get('fix');
    const saysNone = isWord(fix) && noneWords.includes(String(fix).trim().toLowerCase());
    if (!this.#isReport(values, saysNone)) {
      this.#silent += 1;
      for (const name of Object.keys(raw))
        if (this.#seen.size < 12 && !/^\d+$/.test(name)) this.#seen.add(name.slice(0, 40));
      return { kind: 'other' };
    }
    const latitudeDeg = this.#angle(values, 'latitude', 90);
    const longitudeDeg = this.#angle(values, 'longitude', 180);
    if ((latitudeDeg ?? null) === null && typeof longitudeDeg === 'number') fail('a longitude without a latitude');
    if ((longitudeDeg ?? null) === null && typeof latitudeDeg === 'number') fail('a latitude without a longitude');
    const isAbsent = latitudeDeg === undefined && longitudeDeg === undefined;
    const hasPlace = typeof latitudeDeg === 'number';
    const isSilent = isAbsent && !saysNone && withoutPlace === 'unknown';
    const courseDeg = this.#number(values, 'course') ?? null;
    if (courseDeg !== null && (courseDeg < -360 || courseDeg > 360))
      fail(`the course ${courseDeg} deg, -360 to 360 allowed`);
    const speedMps = this.#number(values, 'speed') ?? null;
    if (speedMps !== null && speedMps < 0) fail(`the speed ${speedMps} m/s is negative`);
    return {
      kind: 'report',
      read: {
        ...this.#time(values),
        hasFix: isSilent ? null : hasPlace && !saysNone,
        latitudeDeg: latitudeDeg ?? null,
        longitudeDeg: longitudeDeg ?? null,
        altitudeMslM: this.#number(values, 'height') ?? null,
        speedMps,
        courseDeg: courseDeg === null ? null : ((courseDeg % 360) + 360) % 360,
        used: this.#count(values, 'used'),
        inView: this.#count(values, 'in-view'),
      },
    };
  }

  /** Logs have times and words like `status` too: by their usual names alone these make no report. */
  #isReport(values: ReadonlyMap<FieldName, unknown>, saysNone: boolean): boolean {
    if (saysNone) return true;
    const { fields } = this.#settings;
    const isNamed = (field: FieldName) => fields[field] !== null && fields[field]?.name !== null;
    return [...values.keys()].some((field) => (field !== 'time' && field !== 'fix') || isNamed(field));
  }

  #find(raw: RawFields): Map<FieldName, unknown> {
    const found = new Map<FieldName, unknown>();
    for (const field of FIELD_NAMES) {
      const name = this.#settings.fields[field]?.name ?? null;
      const value = name === null ? undefined : valueAt(raw, name);
      if (value !== undefined) found.set(field, value);
    }
    this.#findUsual(raw, found);
    for (const [name, value] of Object.entries(raw)) {
      if (isMapping(value) && USUAL_HOLDERS.includes(name.toLowerCase())) this.#findUsual(value, found);
    }
    return found;
  }

  #findUsual(raw: RawFields, found: Map<FieldName, unknown>): void {
    const rank = new Map<FieldName, number>();
    for (const [name, value] of Object.entries(raw)) {
      const plain = plainName(name);
      const field = this.#usual.get(plain);
      if (field === undefined || value === undefined || isMapping(value)) continue;
      const place = USUAL_NAMES[field].findIndex((each) => plainName(each) === plain);
      const better = rank.get(field);
      if (better === undefined ? found.has(field) : better <= place) continue;
      rank.set(field, place);
      found.set(field, value);
    }
  }

  /** Undefined: it is not there; null: it is blank. */
  #number(values: ReadonlyMap<FieldName, unknown>, field: FieldName): number | null | undefined {
    const value = values.get(field);
    if (value === undefined) return undefined;
    if (this.#isBlank(value)) return null;
    const number = this.#numberFrom(value, field);
    return number * (this.#settings.fields[field]?.factor ?? 1);
  }

  #numberFrom(value: unknown, field: FieldName): number {
    if (typeof value === 'number' && Number.isFinite(value)) return value;
    if (typeof value === 'string') {
      const { decimalComma } = this.#settings;
      const text = decimalComma ? value.trim().replace(',', '.') : value.trim();
      if (/^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?$/.test(text) && Number.isFinite(Number(text)))
        return Number(text);
      if (!decimalComma && /^[+-]?\d+,\d+$/.test(text))
        fail(`the ${field} ${shown(value)} has a comma for a decimal point`);
    }
    return fail(`the ${field} ${shown(value)} is no number`);
  }

  #angle(values: ReadonlyMap<FieldName, unknown>, field: 'latitude' | 'longitude', limitDeg: number) {
    const valueDeg = this.#number(values, field);
    if (typeof valueDeg === 'number' && Math.abs(valueDeg) > limitDeg) {
      fail(`the ${field} ${valueDeg} deg, -${limitDeg} to ${limitDeg} allowed`);
    }
    return valueDeg;
  }

  #count(values: ReadonlyMap<FieldName, unknown>, field: 'used' | 'in-view'): number | null {
    const value = values.get(field);
    if (value === undefined || this.#isBlank(value)) return null;
    if (Array.isArray(value)) return value.length;
    const count = this.#numberFrom(value, field);
    return Number.isInteger(count) && count >= 0 ? count : fail(`${field} ${shown(value)} is no count`);
  }

  #time(values: ReadonlyMap<FieldName, unknown>): Pick<ReadReport, 'utcMs' | 'isDateTold'> {
    const value = values.get('time');
    const { time } = this.#settings;
    if (value === undefined || this.#isBlank(value) || time.kind === 'arrival') {
      return { utcMs: null, isDateTold: false };
    }
    const read = readTime(value, time, this.#context.now());
    return 'why' in read ? fail(read.why) : read;
  }

  #isBlank(value: unknown): boolean {
    if (value === null || value === '') return true;
    if (typeof value === 'object') return false;
    const word = String(value).trim().toLowerCase();
    return word === '' || this.#settings.blankWords.includes(word);
  }
}

/** A value by its name or JSON pointer; undefined where there is none. */
function valueAt(raw: RawFields, name: string): unknown {
  if (Object.hasOwn(raw, name)) return raw[name];
  if (!name.startsWith('/')) return undefined;
  const value: unknown = jsonpointer.get(raw, name);
  // The library also finds what every object inherits.
  return typeof value === 'function' ? undefined : value;
}

function isWord(value: unknown): boolean {
  return typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean';
}

function fail(why: string): never {
  throw new Unreadable(why);
}
