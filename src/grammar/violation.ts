/**
 * How much a violation says. `damage`: what came is not what was sent, or not whole. `breach`: the standard rules it
 * out. `variant`: not by the standard, but modules in use write so, and a tolerant host reads it.
 */
export type ViolationWeight = 'damage' | 'breach' | 'variant';

/** What the grammar of sentences may find: what it is called, and how much it says. */
export const VIOLATIONS = {
  checksum: { title: 'wrong checksum', weight: 'damage' },
  'checksum-absent': { title: 'no checksum', weight: 'breach' },
  'checksum-form': { title: 'checksum that is not two hexadecimal digits', weight: 'damage' },
  'checksum-lower-case': { title: 'checksum in lower case', weight: 'variant' },
  'cut-off': { title: 'sentence without an end', weight: 'damage' },
  'line-end': { title: 'line end other than CR LF', weight: 'breach' },
  'too-long': { title: 'sentence of more than 82 characters', weight: 'variant' },
  character: { title: 'character that a sentence must not have', weight: 'damage' },
  escape: { title: 'reserved character, or ^ without two hexadecimal digits', weight: 'breach' },
  address: { title: 'address that is none', weight: 'breach' },
  start: { title: 'sentence that begins with ! but is not encapsulated', weight: 'breach' },
  'unknown-talker': { title: 'talker that the standard does not have', weight: 'breach' },
  'variant-talker': { title: 'talker in use, but not in the standard', weight: 'variant' },
  'unknown-formatter': { title: 'formatter that the standard does not have', weight: 'variant' },
  'field-count': { title: 'number of fields that no version has', weight: 'breach' },
  'version-count': { title: 'number of fields of another version', weight: 'breach' },
  'field-form': { title: 'field of another form than its own', weight: 'breach' },
  'leading-zeros': { title: 'leading zeros left out', weight: 'variant' },
  'decimal-cn0': { title: 'C/N0 with decimals', weight: 'variant' },
  'decimal-signal-id': { title: 'signal id in decimal digits', weight: 'variant' },
  'satellite-number': { title: 'satellite number of three digits', weight: 'variant' },
  'field-range': { title: 'value out of range', weight: 'breach' },
  'sixty-minutes': { title: 'minutes or seconds rounded up to 60 without carry', weight: 'breach' },
  'field-code': { title: 'letter or digit that the field does not have', weight: 'breach' },
  'field-missing': { title: 'field that must not be blank', weight: 'breach' },
  'empty-field-pair': { title: 'value without its unit or direction, or the reverse', weight: 'breach' },
  'field-conflict': { title: 'fields that contradict each other', weight: 'breach' },
  date: { title: 'date that does not exist', weight: 'breach' },
  'gsv-count': { title: 'GSV numbers that do not fit together', weight: 'breach' },
  'gsv-more': { title: 'more GSV than the count of satellites needs', weight: 'variant' },
  'satellite-twice': { title: 'satellite listed twice', weight: 'breach' },
  'gsv-fewer': { title: 'fewer satellites listed than in view', weight: 'variant' },
  'group-gap': { title: 'sentence of a group missing', weight: 'breach' },
  'group-order': { title: 'sentences of a group out of order', weight: 'breach' },
  'group-change': { title: 'sentences of a group that disagree', weight: 'breach' },
} as const satisfies Readonly<Record<string, { readonly title: string; readonly weight: ViolationWeight }>>;

export type ViolationCode = keyof typeof VIOLATIONS;

/** One thing in a stream that the sentence standard rules out. */
export interface Violation {
  readonly code: ViolationCode;
  /** Line of the stream that the sentence begins in, from 1. */
  readonly line: number;
  /** Place of the sentence's first byte in the stream, from 0. */
  readonly offset: number;
  /** A clause: the field's name, what was found, what is allowed. */
  readonly what: string;
  /** The field's name; null: not of one field. */
  readonly field: string | null;
}
