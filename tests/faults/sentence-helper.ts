import { linesOf, type Played, playRun, roof, type SentenceLine, sentBytes } from '../run/helper.js';

/** A sentence on record with the place that it was given in place of its own. */
export type ToldLine = SentenceLine & {
  readonly tellTale?: { readonly latitudeDeg: number; readonly longitudeDeg: number };
};

/** Degrees and minutes are a place to this (a tell-tale is a whole number of hundredths of a minute), deg. */
export const ARITHMETIC_DEG = 1e-9;

/** What went out for a sentence, a character a byte. */
export function sentText(line: SentenceLine): string {
  return sentBytes(line).toString('latin1');
}

/** Exclusive or of a body, as the standard has it: not the project's own. */
export function sumOf(body: string): string {
  const sum = [...body].reduce((so, character) => so ^ character.charCodeAt(0), 0);
  return sum.toString(16).toUpperCase().padStart(2, '0');
}

/** Whether a text is `$…*hh` CR LF with the checksum that belongs to what it says. */
export function isIntact(sent: string): boolean {
  const [, body, sum] = /^\$([^$*]*)\*([0-9A-F]{2})\r\n$/.exec(sent) ?? [];
  return body !== undefined && sumOf(body) === sum;
}

/** Fields of what went out; the first is talker and kind. */
export function sentFields(line: SentenceLine): string[] {
  return sentText(line).slice(1).split('*')[0]?.split(',') ?? [];
}

/** Fields of what was meant. */
export function meantFields({ text }: SentenceLine): string[] {
  return text.slice(1, -3).split(',');
}

export const kindOf = ({ text }: SentenceLine): string => text.slice(3, 6);

/** A run in which one fault is in force from the start, or from `at`. */
export async function strike(
  fault: string,
  settings: Readonly<Record<string, unknown>> = {},
  more: Readonly<Record<string, unknown>> = {},
): Promise<{ played: Played; lines: ToldLine[] }> {
  const { at = '0 s', ...rest } = more;
  const timeline = [{ at, fault, with: settings }];
  const played = await playRun({ scenario: roof({ ...rest, timeline }) });
  return { played, lines: linesOf(played.journal, 'sentence') as ToldLine[] };
}

/** The places in fields at which a kind has its latitude (longitude is two further on). */
const LATITUDE_AT: Readonly<Record<string, number>> = { GGA: 2, GLL: 1, RMC: 3, GNS: 2 };

/** The place that fields tell; null where the kind has none, or it is blank or cut off. */
export function placeIn(fields: readonly string[]): { latitudeDeg: number; longitudeDeg: number } | null {
  const at = LATITUDE_AT[(fields[0] ?? '').slice(2)];
  if (at === undefined) return null;
  const [latitude, northSouth, longitude, eastWest] = fields.slice(at, at + 4);
  if (!latitude || !longitude || !northSouth || !eastWest) return null;
  const angleDeg = (text: string) => Math.floor(Number(text) / 100) + (Number(text) % 100) / 60;
  return {
    latitudeDeg: angleDeg(latitude) * (northSouth === 'S' ? -1 : 1),
    longitudeDeg: angleDeg(longitude) * (eastWest === 'W' ? -1 : 1),
  };
}

/** A module that sends every kind of sentence with a position, and some without. */
export const ALL_PLACES = {
  baud: 38_400,
  version: '4.10',
  sentences: { GGA: 1, GLL: 1, RMC: 1, GNS: 1, VTG: 1, GSA: 1, GSV: 1, ZDA: 1 },
};
