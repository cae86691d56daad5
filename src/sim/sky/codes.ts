/** Every code of an error about an almanac or a navigation file, with what it means. */
export const SKY_ERROR_CODES: Readonly<Record<string, string>> = {
  'almanac.empty': 'No satellite’s block of a YUMA or SEM almanac in the file.',
  'almanac.line': 'A line that is none of a YUMA or SEM almanac.',
  'almanac.range': 'A value in an almanac that no satellite can have: the file is damaged.',
  'almanac.incomplete': 'A satellite’s block lacks a line: the file is cut off.',
  'almanac.twice': 'A satellite stands in an almanac twice.',
  'almanac.age': 'The almanac is over 180 days from the scenario’s start, and sky.shift is not set.',
  'navigation.empty': 'No record in a navigation file, or none of the systems asked for.',
  'navigation.format': 'The file is not a RINEX navigation file.',
  'navigation.version': 'A navigation file of an unknown version, or a record of another version in it.',
  'navigation.truncated': 'The last record of a navigation file, or its header, is cut off.',
  'navigation.line': 'A line of a navigation file cannot be read: a number, a time, a record that lacks lines.',
  'navigation.coverage': 'The run is not within the time that the navigation file covers.',
};
