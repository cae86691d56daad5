/** Codes of errors, and what each means. */
export const REPLAY_ERROR_CODES: Readonly<Record<string, string>> = {
  'replay.missing': 'The recording does not exist, is no file, or cannot be read.',
  'replay.empty': 'There is not a byte in the recording.',
  'replay.gzip': 'The recording’s compression (gzip) is damaged, or its end is missing.',
  'replay.unpack': 'The recording could not be unpacked into the folder for temporary files.',
  'replay.read': 'Reading the recording failed on the way.',
  'replay.no-sentences': 'No NMEA sentence is in the recording: it can only be played at the speed of the line.',
  'replay.no-stamps': 'No sentence of the recording tells the time: it can only be played at the speed of the line.',
  'replay.no-date': 'No sentence of the recording tells a date that could become another one.',
  'replay.shift': 'A time or duration to shift by that cannot be read, or that leads out of the years 1980 to 2079.',
  'replay.no-receiver': 'What needs a receiver was asked of a run that plays a recording.',
};
