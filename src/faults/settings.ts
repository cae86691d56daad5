import { z } from 'zod';
import type { Stream } from '../base/random.js';
import { SENTENCE_NAMES } from '../emit/sentences/style.js';
import type { ArrivingSignal } from '../sim/signal/arriving-signal.js';
import type { Band } from '../sim/signal/signal-kind.js';
import { SYSTEM_NAMES, type SystemName } from '../sim/sky/system.js';

/**
 * Satellites as RINEX 3.04 (section 3.5) names them, as many as each system's messages can number; SBAS has PRN 120 to
 * 158, less 100.
 */
const NAMES = [
  { range: 'G01 to G32', pattern: 'G(0[1-9]|[12]\\d|3[0-2])' },
  { range: 'R01 to R27', pattern: 'R(0[1-9]|1\\d|2[0-7])' },
  { range: 'E01 to E36', pattern: 'E(0[1-9]|[12]\\d|3[0-6])' },
  { range: 'C01 to C63', pattern: 'C(0[1-9]|[1-5]\\d|6[0-3])' },
  { range: 'J01 to J10', pattern: 'J(0[1-9]|10)' },
  { range: 'I01 to I14', pattern: 'I(0[1-9]|1[0-4])' },
  { range: 'S20 to S58', pattern: 'S([2-4]\\d|5[0-8])' },
];
const SATELLITE = new RegExp(`^(${NAMES.map(({ pattern }) => pattern).join('|')})$`);
const RANGES = NAMES.map(({ range }) => range).join(', ');

/** A satellite as RINEX names it, of a system that there is. */
export function satellite(): z.ZodString {
  return z.string().regex(SATELLITE, { error: `expected a satellite such as G05: ${RANGES}` });
}

/** The share of sentences, or of what `of` names, that a fault strikes, each by chance. */
export function share(byDefault: number, of = 'sentences'): z.ZodType<number, number | undefined> {
  return z.number().min(0).max(1).default(byDefault).describe(`share of the ${of} that are struck, 0 to 1`);
}

/** All, or some of a kind. */
export type Choice<T> = 'all' | readonly T[];

const BANDS = ['L1', 'L2', 'L5'] as const satisfies readonly Band[];

/** Bands that a signal fault acts on. */
export function bands() {
  return z
    .union([z.literal('all'), z.array(z.enum(BANDS)).min(1)])
    .default('all')
    .describe('all, or a list of bands: [L1], of L1 (with G1, E1, B1), L2 (G2, E5b, B3) and L5 (E5a, B2a)');
}

/** Systems that a signal fault acts on. */
export function systems() {
  return z
    .union([z.literal('all'), z.array(z.enum(SYSTEM_NAMES)).min(1)])
    .default('all')
    .describe('all, or a list of systems: [gps, galileo]');
}

/** Whether a signal is among those that a fault acts on. */
export function isOfBands({ kind }: ArrivingSignal, choice: Choice<Band>): boolean {
  return choice === 'all' || choice.includes(kind.band);
}

export function isOfSystems({ kind }: ArrivingSignal, choice: Choice<SystemName>): boolean {
  return choice === 'all' || choice.includes(kind.system);
}

const STRIKABLE = [...SENTENCE_NAMES, 'TXT'] as const;
/** A kind of sentence that a fault can be told to strike: any that a module sends. */
export type StrikableName = (typeof STRIKABLE)[number];

/** The kinds of sentence that a sentence fault strikes. */
export function sentences(byDefault: 'all' | StrikableName[] = 'all') {
  return z
    .union([z.literal('all'), z.array(z.enum(STRIKABLE)).min(1)])
    .default(byDefault)
    .describe('all, or a list of kinds: [RMC, GGA]');
}

/** Whether a kind of sentence is among those that a fault strikes. */
export function isOfSentences(name: string, choice: Choice<StrikableName>): boolean {
  return choice === 'all' || choice.includes(name as StrikableName);
}

/** Whether a sentence of this kind is struck; draws once for each that may be. */
export function isStruck(
  settings: { readonly share: number; readonly sentences: Choice<StrikableName> },
  name: string,
  stream: Stream,
): boolean {
  return isOfSentences(name, settings.sentences) && stream.uniform() < settings.share;
}

/** Whether a damaged sentence carries a false place. */
export function tellTale() {
  return z
    .boolean()
    .default(false)
    .describe(
      'whether a struck GGA, GLL, RMC or GNS has, in place of its own latitude and longitude, a place that the ' +
        'antenna never comes near, on record as tellTale where the bytes that went out are still damaged: a host ' +
        'that shows it has used what it should have refused',
    );
}
