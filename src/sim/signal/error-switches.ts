/** Which errors there are; with all off the measurements are exact. */
export interface ErrorSwitches {
  readonly satelliteClock: boolean;
  readonly orbit: boolean;
  readonly ionosphere: boolean;
  readonly troposphere: boolean;
  readonly multipath: boolean;
  readonly noise: boolean;
  readonly interSystem: boolean;
  readonly receiverClock: boolean;
}

export const ALL_ERRORS: ErrorSwitches = {
  satelliteClock: true,
  orbit: true,
  ionosphere: true,
  troposphere: true,
  multipath: true,
  noise: true,
  interSystem: true,
  receiverClock: true,
};

export const NO_ERRORS: ErrorSwitches = {
  satelliteClock: false,
  orbit: false,
  ionosphere: false,
  troposphere: false,
  multipath: false,
  noise: false,
  interSystem: false,
  receiverClock: false,
};
