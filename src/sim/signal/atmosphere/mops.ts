import { DEG_PER_RAD } from '../../../base/constants.js';

/** Pressure, hPa; temperature, K; water vapour pressure, hPa; temperature lapse, K/m; vapour lapse, 1. */
type Weather = readonly [
  pressureHpa: number,
  temperatureK: number,
  vapourHpa: number,
  lapse: number,
  vapourLapse: number,
];

/** Latitudes of the tables, deg: level outside. */
const FIRST_DEG = 15;
const STEP_DEG = 15;

/** Averages and seasonal swings at 15, 30, 45, 60 and 75 deg. Source: RTCA DO-229, table A-2 (swings from memory). */
const AVERAGES: readonly Weather[] = [
  [1013.25, 299.65, 26.31, 6.3e-3, 2.77],
  [1017.25, 294.15, 21.79, 6.05e-3, 3.15],
  [1015.75, 283.15, 11.66, 5.58e-3, 2.57],
  [1011.75, 272.15, 6.78, 5.39e-3, 1.81],
  [1013.0, 263.65, 4.11, 4.53e-3, 1.55],
];
const SWINGS: readonly Weather[] = [
  [0, 0, 0, 0, 0],
  [-3.75, 7, 8.85, 0.25e-3, 0.33],
  [-2.25, 11, 7.24, 0.32e-3, 0.46],
  [-1.75, 15, 5.36, 0.81e-3, 0.74],
  [-0.5, 14.5, 3.39, 0.62e-3, 0.3],
];

/** Coldest day of the year, north and south; length of the year, days. */
const COLDEST_NORTH = 28;
const COLDEST_SOUTH = 211;
const YEAR_DAYS = 365.25;

/**
 * Refractivity, K/hPa and K2/hPa; gas constant of dry air, J/(kg K); gravity, m/s2: of the air column, at the surface.
 */
const K1 = 77.604;
const K2 = 382_000;
const GAS = 287.054;
const COLUMN_GRAVITY = 9.784;
const GRAVITY = 9.80665;

/** Delays straight up, m. */
export interface ZenithDelays {
  readonly dryM: number;
  readonly wetM: number;
}

/**
 * Delays straight up through the troposphere by latitude and season, m.
 * @param latitudeRad geodetic, [-pi/2, pi/2] rad
 * @param heightMslM above the sea, m
 * @param dayOfYear 1 on the first of January
 * Source: RTCA DO-229, appendix A.4.2.4.
 */
export function mopsZenithDelaysM(latitudeRad: number, heightMslM: number, dayOfYear: number): ZenithDelays {
  const coldest = latitudeRad < 0 ? COLDEST_SOUTH : COLDEST_NORTH;
  const season = Math.cos((2 * Math.PI * (dayOfYear - coldest)) / YEAR_DAYS);
  const place = (Math.abs(latitudeRad) * DEG_PER_RAD - FIRST_DEG) / STEP_DEG;
  const from = Math.max(0, Math.min(AVERAGES.length - 2, Math.floor(place)));
  const share = Math.max(0, Math.min(1, place - from));
  const at = (table: readonly Weather[], column: number) => {
    const [low, high] = [table[from] as Weather, table[from + 1] as Weather];
    return (low[column] as number) * (1 - share) + (high[column] as number) * share;
  };
  const value = (column: number) => at(AVERAGES, column) - at(SWINGS, column) * season;
  const [pressureHpa, temperatureK, vapourHpa, lapse, vapourLapse] = [value(0), value(1), value(2), value(3), value(4)];
  const seaDryM = (1e-6 * K1 * GAS * pressureHpa) / COLUMN_GRAVITY;
  const seaWetM = ((1e-6 * K2 * GAS) / (COLUMN_GRAVITY * (vapourLapse + 1) - lapse * GAS)) * (vapourHpa / temperatureK);
  // Above the height at which the lapse would end at 0 K there is no air.
  const colder = Math.max(0, 1 - (lapse * heightMslM) / temperatureK);
  const power = GRAVITY / (GAS * lapse);
  return { dryM: seaDryM * colder ** power, wetM: seaWetM * colder ** ((vapourLapse + 1) * power - 1) };
}

/**
 * How much longer than straight up the way through the troposphere is; takes the sine of the elevation, 0 or more.
 * Source: RTCA DO-229, appendix A.4.2.4.
 */
export function mopsMapping(sinElevation: number): number {
  return 1.001 / Math.sqrt(0.002001 + sinElevation * sinElevation);
}

/** Delay in the troposphere, m; arguments as of {@link mopsZenithDelaysM}, elevation in [0, pi/2] rad. */
export function mopsDelayM(latitudeRad: number, heightMslM: number, dayOfYear: number, elevationRad: number): number {
  const { dryM, wetM } = mopsZenithDelaysM(latitudeRad, heightMslM, dayOfYear);
  return (dryM + wetM) * mopsMapping(Math.sin(elevationRad));
}
