import type { z } from 'zod';
import { type ErrorDetail, LodestubError } from '../base/error.js';
import { suggest } from '../base/nearest.js';
import type { ValuePath, YamlDocument } from './document.js';
import { type ChoiceProblem, type KnownKeys, onlyOneOf } from './fields.js';

type Issue = z.core.$ZodIssue;

/** What is known of a setting. */
export interface SettingFacts {
  readonly minimum?: number;
  readonly maximum?: number;
  readonly description?: string;
}

/** What a fault's own schema knows of its settings, by key, and its issues do not say. */
export interface SchemaFacts {
  readonly properties: Readonly<Record<string, SettingFacts>>;
}

/** A mistake with its position, from 0. */
export interface Mistake extends ErrorDetail {
  readonly offset: number;
}

/** How many further mistakes a message names. */
const MORE_NAMED = 4;

/**
 * The one error for all that is wrong with a file: the first mistake by position, and where the next ones are.
 * @param facts what is known of the schema at a path, where the issue does not say it
 */
export function explain(
  document: YamlDocument,
  issues: readonly Issue[],
  facts: (at: ValuePath) => SchemaFacts | null,
) {
  return report(
    document,
    issues.flatMap((issue) => mistakesOf(document, issue, [], facts)),
  );
}

/** The error for mistakes found: the first by position, and where the next ones are. */
export function report(document: YamlDocument, mistakes: readonly Mistake[]): LodestubError {
  // A file of another format or version has countless mistakes that say nothing.
  const versions = mistakes.filter(({ code }) => code.endsWith('.version'));
  const ordered = [...(versions.length > 0 ? versions : mistakes)].sort((a, b) => a.offset - b.offset);
  const [first, ...more] = ordered as [Mistake, ...Mistake[]];
  const { offset: _, ...detail } = first;
  if (more.length === 0) return new LodestubError(detail);
  const named = more.slice(0, MORE_NAMED).map(({ path = '' }) => path.slice(document.file.length + 2));
  const rest = more.length > MORE_NAMED ? ', …' : '';
  const count = `${more.length} more ${more.length === 1 ? 'mistake' : 'mistakes'}`;
  const hint = `${detail.hint === undefined ? '' : `${detail.hint} `}${count} at ${named.join('; ')}${rest}.`;
  return new LodestubError({ ...detail, hint });
}

/** One mistake at a value, or at a key. */
export function mistake(
  document: YamlDocument,
  at: ValuePath,
  detail: Omit<ErrorDetail, 'path' | 'code'> & { readonly kind: string },
  atKey = false,
): Mistake {
  const { kind, ...rest } = detail;
  const offset = atKey ? document.offsetOfKey(at) : document.offsetOf(at);
  const name = nameOf(at);
  const path = `${document.place(offset)}${name === '' ? '' : `, ${name}`}`;
  return { ...rest, code: `${subjectOf(document, at, kind)}.${kind}`, path, offset };
}

/** A path as people read it: `timeline.2.with.share`, counted from 1 as in the journal's fault ids. */
export function nameOf(at: ValuePath): string {
  return at.map((part) => (typeof part === 'number' ? part + 1 : part)).join('.');
}

/** The value at a path; undefined where there is none. */
export function valueAt(root: unknown, at: ValuePath): unknown {
  let value = root;
  for (const part of at) {
    if (typeof value !== 'object' || value === null || !Object.hasOwn(value, part)) return undefined;
    value = (value as Record<string | number, unknown>)[part];
  }
  return value;
}

/** A value as found, short enough for a message. */
export function shown(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (value === null) return 'an empty value';
  const text = JSON.stringify(value) ?? String(value);
  const short = text.length > 60 ? `${text.slice(0, 57)}...` : text;
  if (Array.isArray(value)) return `the list ${short}`;
  return typeof value === 'object' ? `the mapping ${short}` : short;
}

/** Mistakes within a module profile that stands in a scenario are the module's. */
function subjectOf(document: YamlDocument, at: ValuePath, kind: string): string {
  return at.length > 1 && at[0] === 'module' && kind !== 'missing' ? 'module' : document.subject;
}

type Facts = (at: ValuePath) => SchemaFacts | null;

function mistakesOf(document: YamlDocument, issue: Issue, base: ValuePath, facts: Facts): Mistake[] {
  const at = [...base, ...(issue.path as Array<string | number>)];
  const value = valueAt(document.value, at);
  if (issue.code === 'invalid_union') return unionMistakes(document, issue, at, facts);
  if (issue.code === 'unrecognized_keys') return unknownKeys(document, issue, at, facts);
  if (issue.code === 'custom' && issue.params !== undefined) {
    return [problemAt(document, issue.params as ChoiceProblem, at, value)];
  }
  if (VERSION_KEYS[String(at[0])] !== undefined) return [versionMistake(document, at, value)];
  const expected = expectedBy(issue, facts(at.slice(0, -1)), at.at(-1));
  if (value === undefined) return [problemAt(document, { kind: 'required', expected }, at, value)];
  if (issue.code === 'invalid_value') {
    const words = issue.values.map(String);
    return [problemAt(document, { kind: 'unknown-word', expected, words }, at, value)];
  }
  const isRange = issue.code === 'too_small' || issue.code === 'too_big' || issue.code === 'not_multiple_of';
  return [problemAt(document, { kind: isRange ? 'range' : 'type', expected }, at, value)];
}

function problemAt(document: YamlDocument, problem: ChoiceProblem, base: ValuePath, found: unknown): Mistake {
  const at = problem.at === undefined ? base : [...base, problem.at];
  const value = problem.at === undefined ? found : valueAt(document.value, at);
  const { kind, expected, summary } = problem;
  if (kind === 'unknown-key') return unknownKey(document, at, problem.word ?? '', problem.words ?? []);
  const received = problem.word === undefined ? shown(value) : problem.word;
  if (kind === 'required') {
    if (value !== undefined) return mistake(document, at, { kind, expected, received });
    return mistake(document, at, { kind, summary: `the key ${String(at.at(-1))} is missing`, expected });
  }
  const isWord = problem.words !== undefined && (typeof value === 'string' || problem.word !== undefined);
  const hint = isWord ? suggest(problem.word ?? String(value), problem.words ?? []) : problem.hint;
  const extra = { ...(hint === undefined ? {} : { hint }), ...(summary === undefined ? {} : { summary }) };
  const withReceived = kind === 'one-of' ? {} : { received };
  const atKey = problem.word !== undefined || kind === 'one-of';
  return mistake(document, at, { kind, expected, ...withReceived, ...extra }, atKey);
}

/** The key of each format's version, and what a file is that has it. */
const VERSION_KEYS: Readonly<Record<string, string>> = {
  lodestub: 'scenario',
  'lodestub-module': 'module profile',
  'lodestub-dialect': 'dialect',
  'lodestub-trial': 'trial',
};

function versionMistake(document: YamlDocument, at: ValuePath, value: unknown): Mistake {
  const key = String(at[0]);
  const other = Object.keys(VERSION_KEYS).find((each) => each !== key && Object.hasOwn(document.value, each));
  const isOther = value === undefined && other !== undefined;
  const hint = isOther
    ? `The file has the key ${other}: it is a ${VERSION_KEYS[other]}.`
    : `Write ${key}: 1 as the first line.`;
  const received = value === undefined ? 'no such key' : shown(value);
  return mistake(document, at, { kind: 'version', expected: `${key}: 1, the version of the format`, received, hint });
}

function unionMistakes(document: YamlDocument, issue: Issue & { code: 'invalid_union' }, at: ValuePath, facts: Facts) {
  const value = valueAt(document.value, at);
  const answer = parseAnswer(issue.message);
  if (typeof answer === 'object' && answer !== null) return [problemAt(document, answer, at, value)];
  // A union of another's making: the variant that got past the kind of value is the one meant.
  const isPast = (each: readonly Issue[]) =>
    each.every(({ path, code }) => path.length > 0 || !ROOT_CODES.includes(code));
  const meant = answer ?? issue.errors.findIndex(isPast);
  if (meant >= 0) return (issue.errors[meant] ?? []).flatMap((each) => mistakesOf(document, each, at, facts));
  const description = facts(at.slice(0, -1))?.properties[String(at.at(-1))]?.description;
  const variants = issue.errors.map(([first]) => (first === undefined ? '' : expectedBy(first, null, null)));
  const expected = `${variants.join(' or ')}${description === undefined ? '' : `: ${description}`}`;
  return [problemAt(document, { kind: 'type', expected }, at, value)];
}

/** Issues that say that a value is of another kind altogether. */
const ROOT_CODES = ['invalid_type', 'invalid_value'];

/** The answer of a choice's `select`; null for the message of another union. */
function parseAnswer(message: string): number | ChoiceProblem | null {
  try {
    return JSON.parse(message) as number | ChoiceProblem;
  } catch {
    return null;
  }
}

function unknownKeys(
  document: YamlDocument,
  issue: Issue & { code: 'unrecognized_keys' },
  at: ValuePath,
  facts: Facts,
) {
  const known: KnownKeys = issue.message.startsWith('{')
    ? JSON.parse(issue.message)
    : { keys: Object.keys(facts(at)?.properties ?? {}), variants: [] };
  return issue.keys.map((key) => {
    if (!known.variants.includes(key)) return unknownKey(document, [...at, key], key, known.keys);
    // Which of the two is left over depends on which variant came closest: the later one is always named.
    const later = Object.keys(valueAt(document.value, at) as object).filter((each) => known.variants.includes(each))[1];
    return mistake(document, [...at, later ?? key], { kind: 'one-of', expected: onlyOneOf(known.variants) }, true);
  });
}

function unknownKey(document: YamlDocument, at: ValuePath, key: string, known: readonly string[]): Mistake {
  const summary = `the key ${JSON.stringify(key).slice(1, -1).slice(0, 60)} is not known here`;
  return mistake(document, at, { kind: 'unknown-key', summary, hint: suggest(key, known) }, true);
}

/** What to say was expected, for the issues that zod makes itself. */
function expectedBy(issue: Issue, facts: SchemaFacts | null, key: unknown): string {
  if (issue.message.startsWith('expected ')) return issue.message.slice('expected '.length);
  const bounds = facts?.properties[String(key)];
  const range = bounds ? rangeText(bounds) : '';
  if (issue.code === 'invalid_value') return `one of ${issue.values.map(String).join(', ')}`;
  if (issue.code === 'too_small' || issue.code === 'too_big') {
    if (range !== '') return range;
    return issue.code === 'too_small' ? `at least ${issue.minimum}` : `at most ${issue.maximum}`;
  }
  if (issue.code !== 'invalid_type') {
    return issue.message.startsWith('Invalid') ? `another value (${issue.message})` : issue.message;
  }
  const names: Record<string, string> = {
    string: 'text',
    number: 'a number',
    int: 'a whole number',
    boolean: 'true or false',
    array: 'a list',
    object: 'a mapping of keys and values',
    record: 'a mapping of keys and values',
  };
  const name = names[issue.expected] ?? issue.expected;
  return range === '' ? name : `${name}, ${range}`;
}

function rangeText({ minimum, maximum }: { readonly minimum?: number; readonly maximum?: number }): string {
  if (minimum !== undefined && maximum !== undefined) return `${minimum} to ${maximum}`;
  if (minimum !== undefined) return `at least ${minimum}`;
  return maximum === undefined ? '' : `at most ${maximum}`;
}
