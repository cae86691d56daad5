// What a scenario, a module profile and those who change them may set; apart from the schema, which takes long to load.

/** The largest seed; the smallest is 0. */
export const MAX_SEED = 4_294_967_295;

/** Slowest and fastest line, baud. */
export const MIN_BAUD = 50;
export const MAX_BAUD = 10_000_000;

/** The longest time, s: a year and a day. */
export const MAX_DURATION_S = 366 * 86_400;

/** The highest speed over ground, m/s. */
export const MAX_SPEED_MPS = 1000;

/** The lowest and the highest place, m above mean sea level. */
export const LOWEST_M = -1000;
export const HIGHEST_M = 50_000;
