/** Every code of an error about the control of a run, with what it means. */
export const CONTROL_ERROR_CODES: Readonly<Record<string, string>> = {
  'control.syntax': 'A line on the control socket that is no JSON object, or is too long.',
  'control.request': 'A request on the control socket that has no known do, or a key that does not belong to it.',
  'control.value': 'A value in a request on the control socket that is not what is expected there.',
  'control.offer': 'Something to be started by hand that is not on offer.',
  'control.not-in-force': 'A fault was to be cleared that is not in force.',
  'control.over': 'The run is over, or about to be: nothing can be started any more.',
  'control.taken': 'Something else than an old socket stands where the control socket was to be; it was left alone.',
  'control.failed': 'The control socket could not be made, for a reason which is named.',
  'journal.no-scenario': 'A journal that does not have the text of the scenario that was played.',
  'journal.settings': 'A fault of a journal has settings that this version cannot write into a scenario.',
};
