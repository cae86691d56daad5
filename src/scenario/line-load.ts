import { BITS_PER_BYTE } from '../base/constants.js';
import type { ModuleProfile } from '../emit/module-profile.js';
import { writeSentences } from '../emit/sentences/registry.js';
import type { SentenceName } from '../emit/sentences/style.js';
import type { Report } from '../sim/epoch.js';
import { HIGHEST_M, MAX_SPEED_MPS } from './bounds.js';

/** Satellites in view, and used, of a usual open sky, for estimates. */
const USUAL_IN_VIEW = 12;
const USUAL_USED = 9;

/** A report of a usual epoch, for estimates: rather high, fast, and far from the geoid. */
const LONG_REPORT: Report = {
  fix: '3d',
  quality: 1,
  mode: 'A',
  status: 'A',
  utc: { year: 2026, month: 12, day: 31, hour: 23, minute: 58, second: 58.5 },
  timeKnown: true,
  dateKnown: true,
  latitudeDeg: 89.5,
  longitudeDeg: 179.5,
  altitudeMslM: 8848,
  geoidSeparationM: -100,
  speedMps: 100,
  courseDeg: 351.25,
  hdop: 10,
  vdop: 10,
  pdop: 15,
  used: satellites(USUAL_USED),
  inView: satellites(USUAL_IN_VIEW).map((id) => ({ id, azimuthDeg: 123, elevationDeg: 45, cn0DbHz: 40 })),
};

/** The longest dilution of precision that is written, and the geoid's deepest place to the metre (from memory), m. */
const LONGEST_DOP = 99.99;
const DEEPEST_GEOID_M = -107;

/** No field of any report is longer than here: at the bounds of what a scenario may set. */
const LONGEST_REPORT: Report = {
  ...LONG_REPORT,
  latitudeDeg: -89.5,
  longitudeDeg: -179.5,
  // As long as the lowest place with its sign.
  altitudeMslM: HIGHEST_M,
  geoidSeparationM: DEEPEST_GEOID_M,
  speedMps: MAX_SPEED_MPS,
  hdop: LONGEST_DOP,
  vdop: LONGEST_DOP,
  pdop: LONGEST_DOP,
  used: satellites(USUAL_IN_VIEW),
};

/** How full a module's line is, 1 being all of it: an estimate for a usual open sky of 12 satellites. */
export interface LineLoad {
  /** Over many epochs. */
  readonly average: number;
  /** The epoch with the most sentences. */
  readonly worstEpoch: number;
}

/** Estimates how full the line of a module is. */
export function lineLoad(profile: ModuleProfile): LineLoad {
  const { baud, epochMs, sentences } = profile;
  const capacity = ((baud / BITS_PER_BYTE) * epochMs) / 1000;
  let average = 0;
  let worst = 0;
  for (const { name, every } of sentences) {
    const bytes = lengths(profile, name, LONG_REPORT).reduce((sum, length) => sum + length, 0);
    average += bytes / every;
    worst += bytes;
  }
  return { average: average / capacity, worstEpoch: worst / capacity };
}

/** The sentence that becomes the longest with a module's decimals, and its length with `$` and CR LF, bytes. */
export function longestSentence(profile: ModuleProfile): { name: SentenceName; bytes: number } {
  let longest: { name: SentenceName; bytes: number } = { name: 'GGA', bytes: 0 };
  for (const { name } of profile.sentences) {
    const bytes = Math.max(...lengths(profile, name, LONGEST_REPORT));
    if (bytes > longest.bytes) longest = { name, bytes };
  }
  return longest;
}

/** Lengths of the sentences of one name that an epoch has, with CR LF, bytes. */
function lengths({ style }: ModuleProfile, name: SentenceName, report: Report): number[] {
  return writeSentences(report, style, [name]).map((sentence) => sentence.length + 2);
}

function satellites(count: number): string[] {
  return Array.from({ length: count }, (_, index) => `G${String(index + 11)}`);
}
