/** Every code of an error about a dialect's file, with what it means. */
export const DIALECT_ERROR_CODES: Readonly<Record<string, string>> = {
  'dialect.missing': 'The file of the dialect does not exist or cannot be read.',
  'dialect.unknown-name': 'No dialect has this name.',
  'dialect.syntax': 'The file of the dialect is not YAML, is empty, too large, or has a key twice.',
  'dialect.version': 'The key lodestub-dialect is missing or names a version of the format that is not known.',
  'dialect.unknown-key': 'A key of a dialect that is not known at this place.',
  'dialect.unknown-word': 'A word in a dialect that is none of those known: a capture, a sentence, a checksum rule.',
  'dialect.required': 'A key of a dialect that must be there is missing.',
  'dialect.one-of': 'Keys of a dialect that exclude each other, such as sentence and body in one command.',
  'dialect.type': 'A value in a dialect of another kind than expected: a pattern or bytes that cannot be read.',
  'dialect.unit': 'A number in a dialect without a unit, or with a unit of something else.',
  'dialect.range': 'A value in a dialect outside its range.',
};
