/** What a module profile says of its receiver. */
export interface ReceiverSettings {
  /** Satellites below it are tracked but not used, deg. */
  readonly elevationMaskDeg: number;
  /** Signals that can be searched or tracked at a time. */
  readonly channels: number;
  readonly antenna: AntennaKind;
  /** Below it the course is not reported, m/s. */
  readonly courseMinSpeedMps: number;
  /** Honest flags: GGA quality 8 and mode S in place of those of a real module. */
  readonly simulatorFlags: boolean;
}

/** `good`: survey antenna in a clean place; `patch`: small antenna of a consumer module. */
export type AntennaKind = 'good' | 'patch';
