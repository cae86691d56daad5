import { checksum } from '../emit/sentences/checksum.js';

/** A sentence taken apart; nothing of it has been judged. */
export interface Sentence {
  readonly start: '$' | '!';
  /** What stands before the first comma: `GPGGA`. */
  readonly address: string;
  /** `standard`: talker and formatter; `query`: `CCGPQ`; `proprietary`: `P` and its maker's letters. */
  readonly kind: 'standard' | 'query' | 'proprietary' | 'unknown';
  /** `GP`; of a proprietary sentence `P`; empty where it is unknown. */
  readonly talker: string;
  /** `GGA`; of a proprietary sentence all after the `P`; empty where it is unknown. */
  readonly formatter: string;
  /** The fields after the address, as they stand. */
  readonly fields: readonly string[];
  /** `good` in lower case too. */
  readonly checksum: 'good' | 'bad' | 'absent' | 'malformed';
  /** What stands after the last `*`; null: there is none. */
  readonly given: string | null;
}

const ADDRESS = /^(?:P([A-Z0-9]{3,})|([A-Z]{2})([A-Z]{2})Q|([A-Z][A-Z0-9])([A-Z0-9]{3}))$/;

/**
 * Takes a sentence apart.
 * @param text from `$` or `!` on, without CR LF; any characters
 */
export function parseSentence(text: string): Sentence {
  const star = text.lastIndexOf('*');
  const body = text.slice(1, star < 0 ? undefined : star);
  const given = star < 0 ? null : text.slice(star + 1);
  const fields = body.split(',');
  const address = fields.shift() as string;
  const [, proprietary, asker, asked, talker, formatter] = ADDRESS.exec(address) ?? [];
  const start = text[0] as '$' | '!';
  const rest = { start, address, fields, checksum: verdictOf(body, given), given };
  if (proprietary !== undefined) return { ...rest, kind: 'proprietary', talker: 'P', formatter: proprietary };
  if (asker !== undefined) return { ...rest, kind: 'query', talker: asker, formatter: `${asked}Q` };
  if (talker === undefined || formatter === undefined) return { ...rest, kind: 'unknown', talker: '', formatter: '' };
  return { ...rest, kind: 'standard', talker, formatter };
}

function verdictOf(body: string, given: string | null): Sentence['checksum'] {
  if (given === null) return 'absent';
  if (!/^[0-9A-Fa-f]{2}$/.test(given)) return 'malformed';
  return given.toUpperCase() === checksum(body) ? 'good' : 'bad';
}
