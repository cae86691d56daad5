/** The caution that every screen carries. */
export const CAUTION =
  'SIMULATED DATA, for test and teaching. It must never feed live navigation, an autopilot, an AIS or distress\n' +
  'transmitter, or a clock that others rely on. Local rules and licensed practice come first.';
