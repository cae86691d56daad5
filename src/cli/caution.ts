/** The caution that every screen carries. */
export const CAUTION =
  'SIMULATED DATA, for test and teaching. It must never feed live navigation, an autopilot, an AIS or distress\n' +
  'transmitter, or a clock that others rely on. Local rules and licensed practice come first.';

/** The same of a report on a stream, which may well be a real module's. */
export const REPORT_CAUTION =
  'For test and teaching: no basis for navigation. Nothing of this may feed live navigation, an autopilot, an AIS\n' +
  'or distress transmitter, or a clock that others rely on. Local rules and licensed practice come first.';
