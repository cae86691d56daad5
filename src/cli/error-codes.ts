import { CONTROL_ERROR_CODES } from '../control/codes.js';
import { INSPECT_ERROR_CODES } from '../inspect/codes.js';
import { REPLAY_ERROR_CODES } from '../replay/codes.js';
import { SCENARIO_ERROR_CODES } from '../scenario/codes.js';
import { DIALECT_ERROR_CODES } from '../scenario/dialect-codes.js';
import { SKY_ERROR_CODES } from '../sim/sky/codes.js';
import { ROUTE_ERROR_CODES, TRACK_ERROR_CODES } from '../sim/trajectory/codes.js';
import { TRIAL_ERROR_CODES } from '../trial/codes.js';
import { JOURNAL_ERROR_CODES } from '../truth/journal-reader.js';

/** The reference of error codes: every code that a message can begin with, and what it means. */
export const ERROR_CODES: Readonly<Record<string, string>> = {
  ...SCENARIO_ERROR_CODES,
  ...DIALECT_ERROR_CODES,
  ...ROUTE_ERROR_CODES,
  ...TRACK_ERROR_CODES,
  ...SKY_ERROR_CODES,
  ...CONTROL_ERROR_CODES,
  ...JOURNAL_ERROR_CODES,
  ...REPLAY_ERROR_CODES,
  ...TRIAL_ERROR_CODES,
  ...INSPECT_ERROR_CODES,
  'stream.missing': 'The stream does not exist or cannot be read.',
  'track.missing': 'The file of a track does not exist or cannot be read.',
  'quantity.format': 'Not a number with its unit, on the command line.',
  'quantity.unit': 'A number without a unit, or with a unit of something else, on the command line.',
  'time.format': 'A time that cannot be read.',
  'time.calendar': 'A time that does not exist, or before 1980 or after 2200.',
  'command.conflict': 'Options that exclude each other.',
  'command.usage': 'A command, option or argument that is not known, is missing, or has a value that is none.',
  'command.unknown-word': 'A word on the command line that is none of those known there.',
  'library.clock': 'A call of the library that the chosen clock does not allow.',
  'library.port': 'A call of the library that the chosen port does not allow.',
  'port.spec': 'A port that is named in none of the known forms.',
  'port.missing': 'No such serial device.',
  'port.busy': 'The serial device or the network port is in use.',
  'port.denied': 'No permission to use the port.',
  'port.address': 'A network address that this machine does not have.',
  'port.failed': 'The port could not be opened for another reason, which is named.',
  'port.cannot': 'A trial asks for a fault of the port that the port of its host cannot do.',
  'port.gone': 'The serial device went away during the run.',
  'pty.missing': 'The package node-pty is not there: it is built at install, with g++, make and python3.',
  'pty.platform': 'This operating system has no pty as it is needed here.',
  'pty.failed': 'The pty could not be opened for another reason, which is named.',
  'link.taken': 'Something else than an old link stands where the link was to be; it was left alone.',
  'link.failed': 'The link could not be made for another reason, which is named.',
  'stdout.closed': 'Whoever read the standard output has gone.',
  'stdout.failed': 'The standard output could not be written.',
  'out.exists': 'The output file exists and is not Lodestub’s own; it was left alone.',
  'out.busy': 'Another run is writing the output file.',
  'out.directory': 'The output file is a folder.',
  'out.missing-folder': 'The output file’s folder does not exist.',
  'out.denied': 'No permission to write the output file.',
  'out.no-reader': 'Nobody reads the FIFO.',
  'out.full': 'The disk is full: the file was cut back to whole lines.',
  'out.closed': 'The reader of the FIFO has gone.',
  'out.stalled': 'The reader of the FIFO has taken nothing for 5 s.',
  'out.failed': 'The output file could not be written for another reason, which is named.',
};
