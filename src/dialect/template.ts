import { VERSION } from '../base/version.js';
import type { ModuleFacts } from './command.js';
import type { Piece } from './pattern.js';
import type { Captured } from './values.js';

/** Fields of what came that a reply may repeat: `{field1}` is the first. */
const FIELDS = 9;
/** The longest field that is repeated, characters. */
const LONGEST_FIELD = 20;

/** What a reply may tell beside its command's captures; a capture of the same name stands before it. */
export const FACT_NAMES: readonly string[] = [
  'version',
  'baud',
  'interval',
  'rate',
  'command',
  ...Array.from({ length: FIELDS }, (_, i) => `field${i + 1}`),
];

/** What a reply to each sentence that comes may tell beside. */
export const EACH_NAMES: readonly string[] = ['sentence', 'every'];

/** What a reply can tell: what came, and the module as it was then. */
export interface Known {
  readonly captures: ReadonlyMap<string, Captured>;
  readonly facts: ModuleFacts;
  /** The command's name; null: none. */
  readonly command: string | null;
  /** Fields of a sentence, a line as the only one, or the bytes of a frame's body as decimal text. */
  readonly fields: readonly string[];
}

/** The text of a value; blank where there is none. */
export function textOfValue(known: Known, name: string): string {
  const captured = known.captures.get(name);
  if (captured !== undefined) return harmless(captured.raw);
  const { facts, command, fields } = known;
  switch (name) {
    case 'version':
      return VERSION;
    case 'baud':
      return String(facts.baud);
    case 'interval':
      return String(facts.epochMs);
    case 'rate':
      return String(Number((1000 / facts.epochMs).toFixed(3)));
    case 'command':
      return command ?? '';
    default: {
      const place = name.startsWith('field') ? Number(name.slice('field'.length)) : 0;
      return place >= 1 && place <= FIELDS ? harmless((fields[place - 1] ?? '').slice(0, LONGEST_FIELD)) : '';
    }
  }
}

/** Text as it may stand in a sentence: printable, without the characters that the standard reserves. */
function harmless(text: string): string {
  return text.replace(/[^\x20-\x7e]|[$*!\\^~]/g, '_');
}

/** Fills in text. */
export function fillText({ texts, names }: Piece, textOf: (name: string) => string): string {
  let text = texts[0] as string;
  for (const [place, name] of names.entries()) text += textOf(name) + texts[place + 1];
  return text;
}
