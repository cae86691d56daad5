import { fillBytes, parseBytePattern } from '../dialect/byte-pattern.js';
import type { ReplyTemplate } from '../dialect/definition.js';
import { buildFrame, type FrameFormat } from '../dialect/frame.js';
import { type Piece, parsePiece } from '../dialect/pattern.js';
import { EACH_NAMES, FACT_NAMES } from '../dialect/template.js';
import { milliseconds, type Notes } from './dialect-notes.js';
import type { RawReply } from './dialect-schema.js';
import type { ValuePath } from './document.js';
import { mistake } from './explain.js';

/** Where a reply stands. */
export interface ReplyPlace {
  readonly delayMs: number;
  /** What a reply is that is given as text alone. */
  readonly strings: 'sentence' | 'line' | 'body';
  /** The frame of the command that is answered; null: it is none. */
  readonly format: FrameFormat | null;
  readonly formats: readonly FrameFormat[];
  readonly lineEnd: string;
}

type OneReply = Exclude<RawReply, readonly unknown[]>;

/**
 * Replies from what the file says.
 * @param names captures that they may tell; null: whatever is wrong with them is noted elsewhere
 */
export function readReplies(
  raw: RawReply | undefined,
  at: ValuePath,
  place: ReplyPlace,
  names: readonly string[] | null,
  notes: Notes,
): ReplyTemplate[] {
  if (raw === undefined || raw === 'none') return [];
  const into = names === null ? { ...notes, mistakes: [] } : notes;
  const all = Array.isArray(raw) ? raw : [raw];
  return all.flatMap((each: OneReply, i) => {
    const reply = new ReplyReader(Array.isArray(raw) ? [...at, i] : at, place, names ?? [], into).read(each);
    return reply === null ? [] : [reply];
  });
}

/** Reads one reply. */
class ReplyReader {
  readonly #at: ValuePath;
  readonly #place: ReplyPlace;
  readonly #known: readonly string[];
  readonly #notes: Notes;

  constructor(at: ValuePath, place: ReplyPlace, names: readonly string[], notes: Notes) {
    this.#at = at;
    this.#place = place;
    this.#known = [...names, ...FACT_NAMES];
    this.#notes = notes;
  }

  /** Null: it cannot be read, which is noted. */
  read(raw: OneReply): ReplyTemplate | null {
    const { strings, lineEnd } = this.#place;
    if (typeof raw === 'string') {
      if (strings === 'sentence') return this.read({ sentence: raw });
      return this.read(strings === 'line' ? { line: raw } : { body: raw });
    }
    const delayMs = raw.after === undefined ? this.#place.delayMs : milliseconds(raw.after);
    if ('sentence' in raw) {
      const body = this.#piece(raw.sentence, 'sentence', /^[^$*!\\^~]*$/, this.#known);
      return body === null ? null : { kind: 'sentence', body, delayMs };
    }
    if ('each-sentence' in raw) {
      const known = [...EACH_NAMES, ...this.#known];
      const body = this.#piece(raw['each-sentence'], 'each-sentence', /^[^$*!\\^~]*$/, known);
      return body === null ? null : { kind: 'each-sentence', body, delayMs };
    }
    if ('line' in raw) {
      const text = this.#piece(raw.line, 'line', /^/, this.#known);
      return text === null ? null : { kind: 'line', text, end: lineEnd, delayMs };
    }
    if ('body' in raw) return this.#frame(raw.body, raw.frame, delayMs);
    if ('bytes' in raw) return { kind: 'bytes', bytes: raw.bytes, delayMs };
    if ('capture' in raw.last && !this.#isKnown([raw.last.capture], 'last', this.#known)) return null;
    return { kind: 'last', sentence: raw.last, delayMs };
  }

  #piece(text: string, key: string, allowed: RegExp, known: readonly string[]): Piece | null {
    const piece = parsePiece(text, true);
    if (typeof piece === 'string') return this.#note(key, { kind: 'type', expected: piece, received: text });
    if (!piece.texts.every((each) => /^[\x20-\x7e]*$/.test(each) && allowed.test(each))) {
      const expected = 'printable ASCII, in a sentence without $ * ! \\ ^ ~: $ and checksum are added';
      return this.#note(key, { kind: 'type', expected, received: text });
    }
    return this.#isKnown(piece.names, key, known) ? piece : null;
  }

  #frame(text: string, name: string | undefined, delayMs: number): ReplyTemplate | null {
    const { format: own, formats } = this.#place;
    const only = formats.length === 1 ? formats[0] : undefined;
    const format = name === undefined ? (own ?? only) : formats.find((each) => each.name === name);
    if (format === undefined) {
      const expected = formats.length === 0 ? 'frames' : `one of ${formats.map((each) => each.name).join(', ')}`;
      const kind = name === undefined ? 'required' : 'unknown-word';
      return this.#note('frame', { kind, expected, received: name ?? 'nothing' });
    }
    const body = parseBytePattern(text, true);
    if (typeof body === 'string') return this.#note('body', { kind: 'type', expected: body, received: text });
    const names = body.flatMap((part) => ('name' in part ? [part.name] : []));
    if (!this.#isKnown(names, 'body', this.#known)) return null;
    const most = fillBytes(body, () => '');
    if (buildFrame(format, most) === null) {
      const header = format.length.at - format.start.length;
      const expected = `${header} bytes or more of header, and ${format.longest} at most as a frame`;
      return this.#note('body', { kind: 'range', expected, received: `${most.length} bytes of body` });
    }
    return { kind: 'frame', format, body, delayMs };
  }

  #isKnown(names: readonly string[], key: string, known: readonly string[]): boolean {
    const unknown = names.find((name) => !known.includes(name));
    if (unknown === undefined) return true;
    this.#note(key, { kind: 'unknown-word', expected: `one of ${known.join(', ')}`, received: unknown });
    return false;
  }

  #note(key: string, detail: { kind: string; expected: string; received: string }): null {
    const { document, mistakes } = this.#notes;
    mistakes.push(mistake(document, [...this.#at, key], detail));
    return null;
  }
}
