import type { AntennaKind } from '../signal/antenna.js';
import type { Band } from '../signal/signal-kind.js';
import type { SystemName } from '../sky/system.js';

/** How the solution is smoothed, as modules do it. */
export interface SmoothingSettings {
  /** Below this speed the position is held where it was, m/s; null: never. */
  readonly holdBelowMps: number | null;
  /** Time constant of a low-pass on the position, s; 0: none. */
  readonly lowPassS: number;
  /** How long the position is carried on without satellites (quality 6, mode E), s; 0: not at all. */
  readonly deadReckoningS: number;
}

/** What a module profile says of its receiver. */
export interface ReceiverSettings {
  /** Satellites below it are tracked but not used, deg. */
  readonly elevationMaskDeg: number;
  /** Signals that can be searched or tracked at a time; 0: none. */
  readonly channels: number;
  /** Those that it can track; null: all. */
  readonly systems: readonly SystemName[] | null;
  /** `L1` and, of a two-band module, one of the lower bands. */
  readonly bands: readonly Band[];
  readonly antenna: AntennaKind;
  /** Below it the course is not reported, m/s. */
  readonly courseMinSpeedMps: number;
  /** Honest flags: GGA quality 8 and mode S in place of those of a real module. */
  readonly simulatorFlags: boolean;
  readonly smoothing: SmoothingSettings;
  /** Corrections of SBAS satellites are used: quality 2, mode D. */
  readonly sbasCorrections: boolean;
  /** How a heading is had: none, from the course over ground, or from a second antenna. */
  readonly heading: 'none' | 'course' | 'two-antennas';
  /**
   * `model`: the module knows the geoid. `zero`: it does not, so its altitude is the height above the ellipsoid, with a
   * separation of 0. `blank`: it knows the geoid and tells the altitude only.
   */
  readonly geoidSeparation: 'model' | 'zero' | 'blank';
  /** False: no altitude is reported. */
  readonly tellsAltitude: boolean;
  /** What is reported without a fix: no position, or the last one, as void. */
  readonly positionWhenLost: 'blank' | 'last';
  /** Status of a position carried on without satellites. */
  readonly estimatedStatus: 'A' | 'V';
  /** GPS - UTC that the firmware assumes until a message tells, s; null: right for the date. */
  readonly assumedLeapSeconds: number | null;
  /** GPS week in which the firmware was made: it resolves truncated weeks from there on; null: right for the date. */
  readonly firmwareWeek: number | null;
}
