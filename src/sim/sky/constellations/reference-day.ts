import { gpsFromUtc } from '../../../base/time.js';

/**
 * Where no publication places a constellation, its planes and slots stand as satellites broadcast them for this
 * instant, rounded to the nominal geometry. Source: broadcast messages of 2020-06-25 (12:00:00 GPS time).
 */
export const REFERENCE_DAY = gpsFromUtc({ year: 2020, month: 6, day: 25, hour: 11, minute: 59, second: 42 });
