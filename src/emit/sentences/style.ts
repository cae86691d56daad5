/** The kinds of sentence that a module can send. */
export const SENTENCE_NAMES = ['GGA', 'GLL', 'GSA', 'GSV', 'RMC', 'VTG', 'ZDA'] as const;
export type SentenceName = (typeof SENTENCE_NAMES)[number];

/** Versions of the sentence standard. 2.3 has the mode indicators, 4.11 navigational status, system and signal ids. */
export const SENTENCE_VERSIONS = ['2.3', '4.11'] as const;
export type SentenceVersion = (typeof SENTENCE_VERSIONS)[number];

/** How a module writes its sentences. */
export interface SentenceStyle {
  readonly version: SentenceVersion;
  /** Two letters: GP for a GPS receiver, GN for a combined one. */
  readonly talker: string;
  readonly minuteDecimals: number;
  readonly secondDecimals: number;
  readonly altitudeDecimals: number;
  readonly speedDecimals: number;
  readonly courseDecimals: number;
  readonly dopDecimals: number;
  /** What stands for a dilution of precision that is not known. */
  readonly unknownDop: string;
}
