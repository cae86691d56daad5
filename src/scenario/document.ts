import { type Document, isAlias, isMap, isNode, isScalar, isSeq, LineCounter, type Node, parseDocument } from 'yaml';
import { LodestubError } from '../base/error.js';

/** The largest scenario or module file that is read, characters. */
const MAX_LENGTH = 1_000_000;
/** How deep mappings and lists may stand in each other. */
const MAX_DEPTH = 40;
/** How many values a file may have, what its aliases repeat included. */
const MAX_VALUES = 200_000;

/** The way to a value: keys, and places in a list from 0. */
export type ValuePath = ReadonlyArray<string | number>;

/** A YAML file that has been read, and where its values stand. */
export interface YamlDocument {
  /** Its name, for messages. */
  readonly file: string;
  /** `scenario`, `module` or `dialect`: the first part of error codes. */
  readonly subject: string;
  /** The content as plain values; always a mapping. */
  readonly value: Readonly<Record<string, unknown>>;
  /** The position of a value, from 0; of the nearest parent that exists, for what is missing. */
  offsetOf(path: ValuePath): number;
  /** The position of a key; of its value, where it has none. */
  offsetOfKey(path: ValuePath): number;
  /** `scenarios/lap.yaml, line 14, column 7`. */
  place(offset: number): string;
}

/**
 * Reads one YAML 1.2 document whose root is a mapping.
 * @param file its name, for messages
 * @param subject the first part of error codes
 * @throws LodestubError `….syntax`, or `….type` where the root is no mapping
 */
export function readYaml(text: string, file: string, subject: string): YamlDocument {
  const fail = (summary: string, hint: string, where = file) =>
    new LodestubError({ code: `${subject}.syntax`, path: where, summary, hint });
  if (text.length > MAX_LENGTH) {
    const hint = 'Long tracks belong into a file of their own.';
    throw fail(`the file has ${text.length} characters, ${MAX_LENGTH} are allowed`, hint);
  }
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for.
  if (/[\u0000-\u0008\u000e-\u001f\ufffd]/.test(text)) {
    throw fail('the file is not text in UTF-8', `A ${subject} is a YAML file.`);
  }
  const lines = new LineCounter();
  const place = (offset: number) => {
    const { line, col } = lines.linePos(offset);
    return `${file}, line ${Math.max(1, line)}, column ${Math.max(1, col)}`;
  };
  const document = parse(text, lines, fail);
  const problem = document.errors[0] ?? document.warnings[0];
  if (problem) {
    const [summary, hint] = inWords(problem.code, problem.message);
    throw fail(summary, hint, place(problem.pos[0]));
  }
  const value = toPlain(document, fail);
  if (value === null || value === undefined) {
    throw fail('the file is empty', `Its first line is lodestub${subject === 'scenario' ? '' : `-${subject}`}: 1.`);
  }
  if (typeof value !== 'object' || Array.isArray(value)) {
    throw new LodestubError({
      code: `${subject}.type`,
      path: place(document.contents?.range?.[0] ?? 0),
      expected: `a ${subject} as a mapping of keys and values`,
      received: Array.isArray(value) ? 'a list' : JSON.stringify(value).slice(0, 40),
    });
  }
  return {
    file,
    subject,
    value: value as Record<string, unknown>,
    offsetOf: (path) => find(document, path, false),
    offsetOfKey: (path) => find(document, path, true),
    place,
  };
}

type Fail = (summary: string, hint: string, where?: string) => LodestubError;

function parse(text: string, lines: LineCounter, fail: Fail): Document.Parsed {
  try {
    return parseDocument(text, { version: '1.2', prettyErrors: false, lineCounter: lines, logLevel: 'error' });
  } catch (error) {
    // The parser recurses: a file of brackets alone runs it out of stack.
    throw fail(`the file cannot be read (${(error as Error).message})`, 'Check its brackets and indentation.');
  }
}

function toPlain(document: Document.Parsed, fail: Fail): unknown {
  let value: unknown;
  try {
    value = document.toJS({ maxAliasCount: 1000 });
  } catch (error) {
    throw fail((error as Error).message, 'Check its anchors (&name) and aliases (*name).');
  }
  let count = 0;
  const walk = (node: unknown, depth: number): void => {
    count += 1;
    if (depth > MAX_DEPTH || count > MAX_VALUES) {
      throw fail('the file is nested too deep, or its aliases repeat too much', 'Write it out plainly.');
    }
    if (typeof node === 'object' && node !== null) for (const child of Object.values(node)) walk(child, depth + 1);
  };
  walk(value, 0);
  return value;
}

/** What is wrong and what to do, from the parser's code and message. */
function inWords(code: string, message: string): [summary: string, hint: string] {
  if (code === 'DUPLICATE_KEY') return ['this key stands here a second time', 'Keep one of the two.'];
  if (code === 'TAB_AS_INDENT') return ['a tab cannot indent', 'Indent with spaces.'];
  if (code === 'MULTIPLE_DOCS') return ['a second document begins', 'A file holds one: remove the line ---.'];
  if (message.includes('call stack')) return ['the brackets are nested too deep', 'Write it out plainly.'];
  const summary = message.replace(/\s+/g, ' ').trim();
  return [summary, 'Check the line before it too: indentation, colons, brackets and quotes.'];
}

/** Follows a path through mappings, lists and aliases as far as it goes. */
function find(document: Document.Parsed, path: ValuePath, wantsKey: boolean): number {
  let node: unknown = document.contents;
  let offset = document.contents?.range?.[0] ?? 0;
  for (const [index, part] of path.entries()) {
    if (isAlias(node)) node = node.resolve(document);
    let next: unknown;
    let key: unknown;
    if (isMap(node)) {
      const pair = node.items.find(({ key: k }) => String(isScalar(k) ? k.value : k) === String(part));
      next = pair?.value ?? pair?.key;
      key = pair?.key;
    } else if (isSeq(node)) {
      next = node.items[Number(part)];
    }
    if (!isNode(next)) return offset;
    const target = wantsKey && index === path.length - 1 && isNode(key) ? key : next;
    offset = (target as Node).range?.[0] ?? offset;
    node = next;
  }
  return offset;
}
