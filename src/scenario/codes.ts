/**
 * Every code of an error about a scenario or a module profile, with what it means. Each of `range`, `type` and the like
 * exists for both: `scenario.range`, `module.range`.
 */
export const SCENARIO_ERROR_CODES: Readonly<Record<string, string>> = {
  'scenario.missing': 'The scenario, or a file that it names, does not exist or cannot be read.',
  'scenario.syntax': 'The file is not YAML, is empty, too large, or has a key twice.',
  'scenario.version': 'The first key, lodestub, is missing or names a version of the format that is not known.',
  'scenario.unknown-key': 'A key that is not known at this place.',
  'scenario.unknown-word': 'A word that is none of those known at this place: a fault, a module, a kind of start.',
  'scenario.required': 'A key that must be there is missing.',
  'scenario.one-of': 'Keys that exclude each other, such as hold and go in one step.',
  'scenario.type': 'A value of another kind than expected: text for a number, a list for a mapping, a time misspelt.',
  'scenario.unit': 'A number without a unit, or with a unit of something else.',
  'scenario.range': 'A value outside its range.',
  'scenario.recording': 'A key, a fault or surroundings that need a receiver, beside a recording, which has none.',
  'module.missing': 'The module profile does not exist or cannot be read.',
  'module.syntax': 'The file of the module profile is not YAML, is empty, too large, or has a key twice.',
  'module.version': 'The key lodestub-module is missing or names a version of the format that is not known.',
  'module.unknown-name': 'No module profile has this name.',
  'module.unknown-key': 'A key of a module profile that is not known at this place.',
  'module.unknown-word': 'A word in a module profile that is none of those known at this place.',
  'module.type': 'A value in a module profile of another kind than expected.',
  'module.unit': 'A number in a module profile without a unit, or with a unit of something else.',
  'module.range': 'A value in a module profile outside its range.',
  'place.format': 'A place that cannot be read, on the command line.',
  'place.range': 'A latitude, longitude or height outside its range, on the command line.',
};
