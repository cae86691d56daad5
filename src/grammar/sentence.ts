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
  /** The checksum that its characters have, in upper case. */
  readonly expected: string;
  /** Whether all its characters are printable ASCII, and none of those that the standard reserves is out of place. */
  readonly isPlain: boolean;
}

const ADDRESS = /^(?:P([A-Z0-9]{3,})|([A-Z]{2})([A-Z]{2})Q|([A-Z][A-Z0-9])([A-Z0-9]{3}))$/;
/** QZSS under PQ, as some modules list it: a talker, though proprietary sentences begin with P. */
const QZSS_ADDRESS = /^PQG(?:SA|SV)$/;

const STAR = 0x2a;
const COMMA = 0x2c;
/** By byte: two hexadecimal digits. */
const SUMS: readonly string[] = Array.from({ length: 256 }, (_, sum) =>
  sum.toString(16).toUpperCase().padStart(2, '0'),
);
/** By byte: 1 where it is no printable ASCII, or reserved; stars are counted. */
const ODD = Uint8Array.from({ length: 256 }, (_, code) =>
  code < 0x20 || code > 0x7e || '!$\\^~'.includes(String.fromCharCode(code)) ? 1 : 0,
);

/**
 * Takes a sentence apart.
 * @param text from `$` or `!` on, without CR LF; any bytes, a character each (latin1)
 */
export function parseSentence(text: string): Sentence {
  const { length } = text;
  let sum = 0;
  let sumAtStar = 0;
  let star = -1;
  let stars = 0;
  let comma = -1;
  let odd = 0;
  for (let i = 1; i < length; i++) {
    const code = text.charCodeAt(i);
    if (code === STAR) {
      star = i;
      stars++;
      sumAtStar = sum;
    } else if (code === COMMA && comma < 0) comma = i;
    odd |= ODD[code & 255] as number;
    sum ^= code;
  }
  const end = star < 0 ? length : star;
  const hasFields = comma >= 0 && comma < end;
  const address = text.slice(1, hasFields ? comma : end);
  const { kind, talker, formatter } = namesOf(address);
  const given = star < 0 ? null : text.slice(star + 1);
  const expected = SUMS[(star < 0 ? sum : sumAtStar) & 255] as string;
  return {
    start: text[0] as '$' | '!',
    address,
    kind,
    talker,
    formatter,
    fields: hasFields ? text.slice(comma + 1, end).split(',') : [],
    checksum: verdictOf(given, expected),
    given,
    expected,
    isPlain: odd === 0 && stars < 2,
  };
}

function verdictOf(given: string | null, expected: string): Sentence['checksum'] {
  if (given === null) return 'absent';
  if (given === expected) return 'good';
  if (!/^[0-9A-Fa-f]{2}$/.test(given)) return 'malformed';
  return given.toUpperCase() === expected ? 'good' : 'bad';
}

type Names = Pick<Sentence, 'kind' | 'talker' | 'formatter'>;

/** Addresses taken apart already: a stream has few. */
const known = new Map<string, Names>();
const MOST_KNOWN = 1000;

function namesOf(address: string): Names {
  let names = known.get(address);
  if (names === undefined) {
    names = namesIn(address);
    // In noise every address is another.
    if (known.size >= MOST_KNOWN) known.clear();
    known.set(address, names);
  }
  return names;
}

function namesIn(address: string): Names {
  if (QZSS_ADDRESS.test(address)) return { kind: 'standard', talker: 'PQ', formatter: address.slice(2) };
  const [, proprietary, asker, asked, talker, formatter] = ADDRESS.exec(address) ?? [];
  if (proprietary !== undefined) return { kind: 'proprietary', talker: 'P', formatter: proprietary };
  if (asker !== undefined) return { kind: 'query', talker: asker, formatter: `${asked}Q` };
  if (talker === undefined || formatter === undefined) return { kind: 'unknown', talker: '', formatter: '' };
  return { kind: 'standard', talker, formatter };
}
