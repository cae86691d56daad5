/** Codes of errors, and what each means. */
export const INSPECT_ERROR_CODES: Readonly<Record<string, string>> = {
  'inspect.missing': 'The log to be inspected does not exist.',
  'inspect.folder': 'What is to be inspected is a folder.',
  'inspect.unreadable': 'The log cannot be read for another reason, which is named.',
  'inspect.damaged': 'The compression of the log is damaged.',
  'inspect.empty': 'There is nothing in the log, or nothing came from the port.',
  'inspect.not-nmea': 'There is no sentence of NMEA 0183 in it: it is named as what it is.',
  'inspect.port-missing': 'The port to be inspected is not there: no such device, or nobody listens at the address.',
  'inspect.port-denied': 'There is no permission to open the port.',
  'inspect.port-busy': 'Another program has the port open.',
  'inspect.port-failed': 'The port cannot be opened, set or read for another reason, which is named.',
  'inspect.no-data': 'Not a byte came from the port, at any speed.',
  'inspect.no-speed': 'Bytes came from the port, but no sentence with a right checksum at any speed.',
};
