/** What matched, by a capture's name: one text, several of a rest, none of an optional field that is blank. */
export type Matched = Map<string, readonly string[]>;

/** What a pattern captures. */
export interface CaptureSite {
  readonly name: string;
  /** The field may be blank, or missing at the end. */
  readonly isOptional: boolean;
  /** All fields that are left, one at least. */
  readonly isRest: boolean;
}

/** Text and captures in turn, the text first and last: a capture ends where the text after it first comes. */
export interface Piece {
  readonly texts: readonly string[];
  readonly names: readonly string[];
}

/** A field of a sentence. */
interface FieldPattern extends Piece {
  readonly isOptional: boolean;
  readonly isRest: boolean;
}

/** A sentence's body, field by field. */
export interface SentencePattern {
  readonly fields: readonly FieldPattern[];
  /** Fields that must be there. */
  readonly least: number;
}

const NAME = '[a-z][a-z0-9-]*';
const CAPTURE = new RegExp(`\\{(${NAME})\\}`);
const WHOLE = new RegExp(`^\\{(${NAME})(\\?|\\.\\.\\.)\\}$`);

/**
 * Reads text with captures in it: `RATE={rate}`.
 * @param isReply it is one to fill in, where nothing need stand between two
 * @returns text: what was expected
 */
export function parsePiece(text: string, isReply = false): Piece | string {
  const parts = text.split(CAPTURE);
  const texts = parts.filter((_, i) => i % 2 === 0);
  const names = parts.filter((_, i) => i % 2 === 1);
  if (texts.some((each) => /[{}]/.test(each))) {
    return 'captures such as {rate}, of small letters, digits and hyphens; {rate?} and {names...} as whole fields';
  }
  if (!isReply && texts.slice(1, -1).includes(''))
    return 'text between two captures, which tells where the first one ends';
  return { texts, names };
}

/** Reads a pattern of a sentence's body: `PLDB,RATE,{rate}`. @returns text: what was expected */
export function parseSentencePattern(text: string): SentencePattern | string {
  const fields: FieldPattern[] = [];
  const parts = text.split(',');
  for (const [place, part] of parts.entries()) {
    const [, name, mark] = WHOLE.exec(part) ?? [];
    if (name !== undefined) {
      const isRest = mark === '...';
      if (isRest && place < parts.length - 1) return 'a capture of the rest, {names...}, as the last field';
      fields.push({ texts: ['', ''], names: [name], isOptional: !isRest, isRest });
      continue;
    }
    const piece = parsePiece(part);
    if (typeof piece === 'string') return piece;
    fields.push({ ...piece, isOptional: false, isRest: false });
  }
  const first = fields[0] as FieldPattern;
  if (first.names.length > 0 || first.texts[0] === '') return 'a pattern whose first field is fixed, such as PLDB';
  return { fields, least: fields.findLastIndex(({ isOptional }) => !isOptional) + 1 };
}

/** What a pattern captures, in its order. */
export function sitesOf(fields: readonly (Piece & Partial<CaptureSite>)[]): CaptureSite[] {
  return fields.flatMap(({ names, isOptional = false, isRest = false }) =>
    names.map((name) => ({ name, isOptional, isRest })),
  );
}

/** Matches a sentence's fields. */
export function matchSentence({ fields, least }: SentencePattern, found: readonly string[]): Matched | null {
  const hasRest = fields.at(-1)?.isRest === true;
  if (found.length < least || (found.length > fields.length && !hasRest)) return null;
  const matched: Matched = new Map();
  for (const [place, field] of fields.entries()) {
    const text = found[place] ?? '';
    if (field.isRest) matched.set(field.names[0] as string, found.slice(place));
    else if (field.isOptional && text === '') matched.set(field.names[0] as string, []);
    else if (!matchPiece(field, text, matched)) return null;
  }
  return matched;
}

/** Matches one text; what it captures is added. */
export function matchPiece({ texts, names }: Piece, text: string, matched: Matched): boolean {
  const head = texts[0] as string;
  if (names.length === 0) return text === head;
  if (!text.startsWith(head)) return false;
  let at = head.length;
  for (const [place, name] of names.entries()) {
    const after = texts[place + 1] as string;
    const isLast = place === names.length - 1;
    const end = isLast ? text.length - after.length : text.indexOf(after, at);
    if (end < at || (isLast && !text.endsWith(after))) return false;
    matched.set(name, [text.slice(at, end)]);
    at = end + after.length;
  }
  return true;
}
