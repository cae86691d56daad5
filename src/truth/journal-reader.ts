import { LodestubError } from '../base/error.js';
import { isMapping } from '../base/is-mapping.js';
import { suggest } from '../base/nearest.js';
import { ByteWindow, type ReadBytes } from './byte-window.js';
import type { JournalRecord, RunRecord } from './journal-record.js';

/** No line of a journal is longer, bytes: what has a longer one is something else. */
const LONGEST_LINE = 64 << 20;

/** Every journal begins so. */
const HEAD = '{"type":"run",';

/** How each code of a journal's mistakes comes about. */
export const JOURNAL_ERROR_CODES = {
  'journal.missing': 'The journal does not exist or cannot be read.',
  'journal.format': 'The file is not a journal: its first line is not the record of a run.',
  'journal.version': 'A journal of another version of its format.',
  'journal.truncated': 'The journal’s last line is cut off.',
  'journal.line': 'A line of the journal is not a record in JSON.',
  'journal.record': 'A record of the journal lacks something, or has a value that it cannot have.',
} as const;

/** A line of the journal as a window of it has it. */
export interface JournalLine {
  /** Number, from 1. */
  readonly line: number;
  /** The line is from `from` to `to` (its line feed not included) of `bytes`, until the next one is asked for. */
  readonly bytes: Buffer;
  readonly from: number;
  readonly to: number;
}

/**
 * The lines of a journal, one by one, in little memory.
 * @param file its name, for messages
 * @throws LodestubError `journal.format` where it cannot be a journal, `journal.truncated`, `journal.line`
 */
export class JournalLines implements JournalLine {
  readonly #file: string;
  readonly #window: ByteWindow;
  #length = 0;
  line = 0;
  bytes: Buffer = Buffer.alloc(0);
  from = 0;
  to = 0;

  constructor(read: ReadBytes, file: string) {
    this.#file = file;
    this.#window = new ByteWindow(read);
  }

  /** Goes to the next line. @returns false: there is none */
  next(): boolean {
    const window = this.#window;
    window.skip(this.#length);
    if (this.line === 0) this.#expectHead();
    this.#length = window.line(LONGEST_LINE);
    if (this.#length === 0) return false;
    this.line++;
    this.bytes = window.bytes;
    this.from = window.from;
    this.to = window.from + this.#length - 1;
    if (this.bytes[this.to] === 0x0a) return true;
    const path = this.place;
    if (this.#length >= LONGEST_LINE) {
      throw new LodestubError({ code: 'journal.line', path, summary: `no line feed in ${this.#length} bytes` });
    }
    const hint = 'The run was killed, or the disk was full: cut the line off to use the rest.';
    const summary = `the last line has no line feed after its ${this.#length} bytes`;
    throw new LodestubError({ code: 'journal.truncated', path, summary, hint });
  }

  /** The present line as a record. @throws LodestubError `journal.…` */
  record(): JournalRecord {
    const text = this.bytes.toString('utf8', this.from, this.to);
    let value: unknown;
    try {
      value = JSON.parse(text);
    } catch (error) {
      const summary = `not JSON (${(error as Error).message})`;
      throw new LodestubError({ code: 'journal.line', path: this.place, summary });
    }
    const problem = problemOf(value);
    if (problem !== null) throw new LodestubError({ code: 'journal.record', path: this.place, ...problem });
    return value as JournalRecord;
  }

  /** Where the present line is, for messages. */
  get place(): string {
    return `${this.#file}, line ${Math.max(1, this.line)}`;
  }

  /** Whether it is a journal at all is found out before much of it is read. */
  #expectHead(): void {
    const window = this.#window;
    const length = Math.min(window.ensure(HEAD.length), HEAD.length);
    const found = window.bytes.toString('latin1', window.from, window.from + length);
    if (found === HEAD) return;
    throw new LodestubError({
      code: 'journal.format',
      path: this.place,
      expected: `${HEAD}… at its beginning`,
      received: found === '' ? 'an empty file' : JSON.stringify(found),
      hint: 'Name the file that --journal wrote.',
    });
  }
}

/**
 * The records of a journal in their order, the `run` first; in little memory, whatever the journal's size.
 * @param file its name, for messages
 * @throws LodestubError `journal.format`, `journal.version`, `journal.truncated`, `journal.line`, `journal.record`
 */
export function* journalRecords(read: ReadBytes, file: string): Generator<JournalRecord, void> {
  const lines = new JournalLines(read, file);
  while (lines.next()) {
    const record = lines.record();
    if (lines.line === 1) expectRun(record, lines);
    yield record;
  }
}

/** The first record, checked. @throws LodestubError `journal.format`, `journal.version` */
export function expectRun(record: JournalRecord, lines: JournalLines): RunRecord {
  const path = lines.place;
  if (record.type !== 'run') {
    const received = JSON.stringify(record.type);
    throw new LodestubError({ code: 'journal.format', path, expected: 'the record of a run', received });
  }
  if (record.format === 1) return record;
  const received = JSON.stringify(record.format);
  throw new LodestubError({ code: 'journal.version', path, expected: 'format 1', received });
}

type Kind = 'text' | 'number' | 'count' | 'texts' | 'list' | 'mapping' | 'mapping or null' | 'base64' | 'phase';

/** What each record must have; a name that ends in `?` may be missing. */
const SHAPES: Readonly<Record<JournalRecord['type'], Readonly<Record<string, Kind>>>> = {
  run: { format: 'number', title: 'text', seed: 'number', module: 'text', startUtc: 'text', baud: 'number' },
  epoch: {
    index: 'count',
    atMs: 'number',
    utc: 'text',
    truth: 'mapping or null',
    report: 'mapping',
    satellites: 'list',
    faults: 'texts',
  },
  sentence: {
    epoch: 'count',
    text: 'text',
    startMs: 'number',
    endMs: 'number',
    faults: 'texts',
    'sentBase64?': 'base64',
  },
  bytes: {
    'epoch?': 'count',
    startMs: 'number',
    endMs: 'number',
    base64: 'base64',
    cause: 'text',
    'faults?': 'texts',
  },
  dropped: { epoch: 'count', atMs: 'number', text: 'text', bytes: 'count', reason: 'text', faults: 'texts' },
  line: { atMs: 'number', baud: 'number' },
  port: { atMs: 'number', event: 'text' },
  host: { atMs: 'number', event: 'text', 'baud?': 'number', 'base64?': 'base64' },
  command: { atMs: 'number', verdict: 'text', answer: 'list', actions: 'list', 'text?': 'text', 'base64?': 'base64' },
  control: { atMs: 'number' },
  surroundings: { id: 'text', surroundings: 'text', phase: 'phase', atMs: 'number' },
  fault: { id: 'text', kind: 'text', phase: 'phase', atMs: 'number', with: 'mapping' },
  end: { epochs: 'count', sentences: 'count', bytes: 'count', dropped: 'count' },
};

interface Problem {
  readonly summary: string;
  readonly hint?: string;
}

function problemOf(value: unknown): Problem | null {
  if (!isMapping(value)) return { summary: 'expected a record with a type, got something else' };
  const { type } = value;
  const types = Object.keys(SHAPES);
  if (typeof type !== 'string' || !Object.hasOwn(SHAPES, type)) {
    const hint = typeof type === 'string' ? suggest(type, types) : `A type is one of ${types.join(', ')}.`;
    return { summary: `the type ${JSON.stringify(type) ?? 'nothing'} is none of a journal’s`, hint };
  }
  for (const [key, kind] of Object.entries(SHAPES[type as JournalRecord['type']])) {
    const name = key.replace('?', '');
    const found = value[name];
    if (found === undefined && key !== name) continue;
    if (isOf(kind, found)) continue;
    const got = found === undefined ? 'nothing' : JSON.stringify(found).slice(0, 60);
    return { summary: `${name} of the record ${type}: expected ${WORDS[kind]}, got ${got}` };
  }
  return null;
}

const WORDS: Readonly<Record<Kind, string>> = {
  text: 'text',
  number: 'a number',
  count: 'a whole number from 0 on',
  texts: 'a list of texts',
  list: 'a list',
  mapping: 'a mapping',
  'mapping or null': 'a mapping, or null',
  base64: 'base64',
  phase: 'begin or end',
};

function isOf(kind: Kind, value: unknown): boolean {
  switch (kind) {
    case 'text':
      return typeof value === 'string';
    case 'number':
      return typeof value === 'number';
    case 'count':
      return Number.isSafeInteger(value) && (value as number) >= 0;
    case 'texts':
      return Array.isArray(value) && value.every((each) => typeof each === 'string');
    case 'list':
      return Array.isArray(value);
    case 'mapping':
      return isMapping(value);
    case 'mapping or null':
      return value === null || isMapping(value);
    case 'base64':
      // Node leaves out what is no base64: what comes back must be what was there.
      return typeof value === 'string' && Buffer.from(value, 'base64').toString('base64') === value;
    case 'phase':
      return value === 'begin' || value === 'end';
  }
}
