import { parseBytePattern } from '../dialect/byte-pattern.js';
import { type Checksum, NAMED_CRCS } from '../dialect/checksums.js';
import type { Crc } from '../dialect/crc.js';
import type {
  ActionTemplate,
  CommandTemplate,
  DialectDefinition,
  FrameCommand,
  LineCommand,
  Objections,
  SentenceCommand,
} from '../dialect/definition.js';
import { buildFrame, type FrameFormat, overheadOf } from '../dialect/frame.js';
import { type CaptureSite, parsePiece, parseSentencePattern, sitesOf } from '../dialect/pattern.js';
import type { CaptureType } from '../dialect/values.js';
import { MAX_BAUD, MIN_BAUD } from './bounds.js';
import { readAction } from './dialect-actions.js';
import { readCaptureTypes } from './dialect-captures.js';
import { noteConflicts } from './dialect-conflicts.js';
import { milliseconds, type Notes } from './dialect-notes.js';
import { type ReplyPlace, readReplies } from './dialect-replies.js';
import type { RawCommand, RawDialect, RawFrame, RawReplies } from './dialect-schema.js';
import type { ValuePath, YamlDocument } from './document.js';
import { mistake, report } from './explain.js';

/** Shortest and longest interval of epochs, ms: the bounds of a module's rate. */
const INTERVALS_MS = [20, 10_000] as const;
/** A sentence comes at every so many epochs at most. */
const LONGEST_EVERY = 100_000;

/** What is around a command: answers where it gives none, and how to build them. */
interface Around extends ReplyPlace {
  readonly replies: RawReplies;
  readonly act: number | 'reply';
}

/**
 * A dialect from settings that were checked one by one; checks what they must satisfy together.
 * @throws LodestubError `dialect.…`
 */
export function buildDialect(raw: RawDialect, name: string, document: YamlDocument): DialectDefinition {
  const notes: Notes = { document, mistakes: [] };
  noteConflicts(raw, notes);
  const delayMs = milliseconds(raw.delay);
  const formats = raw.frames.map((frame, i) => readFormat(frame, ['frames', i], notes));
  const around = (strings: ReplyPlace['strings'], format: FrameFormat | null, replies: RawReplies): Around => ({
    delayMs,
    strings,
    format,
    formats,
    lineEnd: { CR: '\r', LF: '\n', 'CR LF': '\r\n' }[raw.lines?.['reply-end'] ?? 'CR LF'],
    replies,
    act: raw.act,
  });
  const ofSentences = around('sentence', null, raw.replies);
  const ofLines = around('line', null, raw.lines?.replies ?? {});
  const ofFrames = formats.map((format, i) => around('body', format, raw.frames[i]?.replies ?? {}));
  const { sentences, lines, frames } = readCommands(raw, { ofSentences, ofLines, ofFrames }, notes);
  const definition: DialectDefinition = {
    name,
    title: raw.title ?? name,
    echo: raw.echo,
    queryDelayMs: raw.queries ? delayMs : null,
    longestText: raw.longest,
    frameTimeoutMs: milliseconds(raw['frame-timeout']),
    textTimeoutMs: milliseconds(raw['text-timeout']),
    checksum: raw.checksum,
    address: raw.address === undefined ? '' : raw.address.replace(/^\$/, ''),
    sentences,
    sentenceObjections: readObjections(ofSentences, ['replies'], notes),
    lines:
      raw.lines === undefined && lines.length === 0
        ? null
        : {
            start: raw.lines?.start ?? '',
            end: raw.lines?.end ?? 'either',
            commands: lines,
            objections: readObjections(ofLines, ['lines', 'replies'], notes),
          },
    frames: formats.map((format, i) => ({
      format,
      commands: frames[i] as FrameCommand[],
      objections: readObjections(ofFrames[i] as Around, ['frames', i, 'replies'], notes),
    })),
    limits: { baud: [MIN_BAUD, MAX_BAUD], intervalMs: INTERVALS_MS, every: LONGEST_EVERY },
  };
  if (notes.mistakes.length > 0) throw report(document, notes.mistakes);
  return definition;
}

/** A dialect's commands, by what they are. */
interface Commands {
  readonly sentences: SentenceCommand[];
  readonly lines: LineCommand[];
  /** By the place of their format. */
  readonly frames: FrameCommand[][];
}

function readCommands(
  raw: RawDialect,
  { ofSentences, ofLines, ofFrames }: { ofSentences: Around; ofLines: Around; ofFrames: readonly Around[] },
  notes: Notes,
): Commands {
  const sentences: SentenceCommand[] = [];
  const lines: LineCommand[] = [];
  const frames: FrameCommand[][] = ofFrames.map(() => []);
  for (const [i, command] of raw.commands.entries()) {
    const at: ValuePath = ['commands', i];
    if ('sentence' in command) {
      const pattern = parsed(parseSentencePattern(command.sentence), [...at, 'sentence'], notes);
      if (pattern === null) continue;
      const template = readCommand(command, at, sitesOf(pattern.fields), ofSentences, notes);
      sentences.push({ ...template, pattern, checksum: command.checksum ?? raw.checksum });
    } else if ('line' in command) {
      const pattern = parsed(parsePiece(command.line), [...at, 'line'], notes);
      if (pattern !== null) lines.push({ ...readCommand(command, at, sitesOf([pattern]), ofLines, notes), pattern });
    } else {
      const place = framePlace(command.frame, ofSentences.formats, at, notes);
      const pattern = parsed(parseBytePattern(command.body, false), [...at, 'body'], notes);
      if (place < 0 || pattern === null) continue;
      const names = pattern.flatMap((part) => (part.kind === 'number' ? [part.name] : []));
      const template = readCommand(command, at, sitesOf([{ texts: [], names }]), ofFrames[place] as Around, notes);
      frames[place]?.push({ ...template, pattern });
    }
  }
  return { sentences, lines, frames };
}

function readCommand(
  command: RawCommand,
  at: ValuePath,
  sites: readonly CaptureSite[],
  around: Around,
  notes: Notes,
): CommandTemplate {
  const captures = readCaptureTypes(command.with ?? {}, sites, at, notes);
  const given = command.do === undefined ? [] : Array.isArray(command.do) ? command.do : [command.do];
  const actions: ActionTemplate[] = given.map((action, i) => {
    const place = Array.isArray(command.do) ? [...at, 'do', i] : [...at, 'do'];
    return readAction(action, place, { sites, captures }, notes);
  });
  const names = sites.map(({ name }) => name);
  const answers = (key: 'reply' | 'refused', of: 'done' | 'refused') => {
    const own = command[key];
    if (own !== undefined) return readReplies(own, [...at, key], around, names, notes);
    // What stands for all commands can only tell what all have: it is checked there.
    return readReplies(around.replies[of], [], around, null, notes);
  };
  return {
    name: command.name,
    captures: captures as ReadonlyMap<string, CaptureType>,
    actions,
    actAfter: command.act ?? around.act,
    replies: answers('reply', 'done'),
    refusals: answers('refused', 'refused'),
  };
}

/** Answers to what is no command; those that stand for all commands are checked on the way. */
function readObjections(around: Around, at: ValuePath, notes: Notes): Objections {
  const { replies } = around;
  for (const key of ['done', 'refused'] as const) readReplies(replies[key], [...at, key], around, [], notes);
  return {
    unknown: readReplies(replies.unknown, [...at, 'unknown'], around, [], notes),
    wrongChecksum: readReplies(replies['wrong-checksum'], [...at, 'wrong-checksum'], around, [], notes),
  };
}

/** The format that a command is in; -1: it names none, which is noted. */
function framePlace(name: string | undefined, formats: readonly FrameFormat[], at: ValuePath, notes: Notes): number {
  const names = formats.map((format) => format.name);
  const place = name === undefined ? (formats.length === 1 ? 0 : -1) : names.indexOf(name);
  if (place >= 0) return place;
  const expected = formats.length === 0 ? 'frames, of which this is one' : `one of ${names.join(', ')}`;
  const kind = name === undefined ? 'required' : 'unknown-word';
  notes.mistakes.push(mistake(notes.document, [...at, 'frame'], { kind, expected, received: name ?? 'nothing' }));
  return -1;
}

function readFormat(raw: RawFrame, at: ValuePath, notes: Notes): FrameFormat {
  const { name, start, length, longest, end = new Uint8Array() } = raw;
  const { from = start.length, order } = raw.checksum;
  const format: FrameFormat = {
    name,
    start,
    length,
    longest,
    checksum: { rule: readRule(raw.checksum, [...at, 'checksum'], notes), from, order },
    end,
  };
  const note = (key: string[], expected: string, received: number) => {
    const detail = { kind: 'range', expected, received: String(received) };
    notes.mistakes.push(mistake(notes.document, [...at, ...key], detail));
  };
  const before = length.at + length.bytes;
  if (length.at < start.length) note(['length', 'at'], `${start.length} or more, behind the start`, length.at);
  else if (format.checksum.from > before) {
    note(['checksum', 'from'], `0 to ${before}: the payload is covered`, format.checksum.from);
  } else if (buildFrame(format, new Uint8Array(length.at - start.length)) === null) {
    note(['longest'], `${overheadOf(format) + length.at - start.length} or more, for a frame without payload`, longest);
  }
  return format;
}

/** A frame's checksum; what does not fit a CRC's width is noted. */
function readRule({ rule, init }: RawFrame['checksum'], at: ValuePath, notes: Notes): Checksum {
  const note = (key: string[], kind: string, expected: string, received: unknown) => {
    notes.mistakes.push(mistake(notes.document, [...at, ...key], { kind, expected, received: String(received) }));
  };
  const named = typeof rule === 'string' && Object.hasOwn(NAMED_CRCS, rule);
  if (init !== undefined && !named) note(['init'], 'one-of', 'init beside the name of a CRC alone', init);
  if (typeof rule === 'string' && !named) return rule as Checksum;
  const crc: Crc =
    typeof rule === 'string'
      ? { ...NAMED_CRCS[rule as keyof typeof NAMED_CRCS], ...(init === undefined ? {} : { init }) }
      : { ...rule, reflectedIn: rule['reflected-in'], reflectedOut: rule['reflected-out'] };
  for (const key of ['polynomial', 'init', 'xor'] as const) {
    if (crc[key] < 2 ** crc.width) continue;
    note(typeof rule === 'string' ? [key] : ['rule', key], 'range', `at most ${crc.width} bits`, crc[key]);
  }
  return crc;
}

/** What was parsed; null: it could not be, which is noted. */
function parsed<T extends object>(result: T | string, at: ValuePath, notes: Notes): T | null {
  if (typeof result !== 'string') return result;
  notes.mistakes.push(mistake(notes.document, at, { kind: 'type', expected: result }));
  return null;
}
