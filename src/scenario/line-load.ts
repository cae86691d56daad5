import { BITS_PER_BYTE } from '../base/constants.js';
import type { ModuleProfile } from '../emit/module-profile.js';
import { writeSentences } from '../emit/sentences/registry.js';
import type { SentenceName } from '../emit/sentences/style.js';
import type { Report, SatelliteInView } from '../sim/epoch.js';
import { signalsOf } from '../sim/signal/signal-kind.js';
import { SYSTEM_NAMES, type SystemName, satelliteId } from '../sim/sky/system.js';
import { HIGHEST_M, MAX_SPEED_MPS } from './bounds.js';

/** Satellites in view, and used, of a usual open sky, for estimates. */
const USUAL: Readonly<Record<SystemName, readonly [inView: number, used: number]>> = {
  gps: [12, 9],
  glonass: [9, 6],
  galileo: [10, 7],
  beidou: [14, 10],
  qzss: [3, 2],
  navic: [5, 3],
  sbas: [3, 0],
};
/** More than two full GSA of each system. */
const MANY = [26, 26] as const;

/** A report of a usual epoch, for estimates: rather high, fast, and far from the geoid. */
const LONG_REPORT: Report = {
  fix: '3d',
  quality: 1,
  mode: 'A',
  systemModes: {},
  status: 'A',
  utc: { year: 2026, month: 12, day: 31, hour: 23, minute: 58, second: 58.5 },
  utcMinuteS: 60,
  timeKnown: true,
  dateKnown: true,
  latitudeDeg: 89.5,
  longitudeDeg: 179.5,
  altitudeMslM: 8848,
  geoidSeparationM: -100,
  speedMps: 100,
  courseDeg: 351.25,
  variationDeg: -12.5,
  heading: { headingDeg: 351.25, rateDegPerMin: -120 },
  hdop: 10,
  vdop: 10,
  pdop: 15,
  used: [],
  residualsM: [],
  deviation: {
    rangeRmsM: 10,
    majorM: 10,
    minorM: 10,
    orientationDeg: 123,
    latitudeM: 10,
    longitudeM: 10,
    altitudeM: 10,
  },
  suspect: { id: 'G11', missedProbability: 0.5, biasM: -10, deviationM: 10 },
  differential: null,
  inView: [],
};

/** The longest dilution of precision that is written, and the geoid's deepest place to the metre (from memory), m. */
const LONGEST_DOP = 99.99;
const DEEPEST_GEOID_M = -107;
/** A deviation, a residual, a rate of turn and an age of corrections that are longer than any usual one. */
const LONGEST_M = 9999.9;
const LONGEST_RATE_DEGPMIN = -9999.9;
const LONGEST_AGE_S = 99.9;

/** No field of any report is longer than here: at the bounds of what a scenario may set. */
const LONGEST_REPORT: Report = {
  ...LONG_REPORT,
  latitudeDeg: -89.5,
  longitudeDeg: -179.5,
  // As long as the lowest place with its sign.
  altitudeMslM: HIGHEST_M,
  geoidSeparationM: DEEPEST_GEOID_M,
  speedMps: MAX_SPEED_MPS,
  variationDeg: -123.5,
  heading: { headingDeg: 351.25, rateDegPerMin: LONGEST_RATE_DEGPMIN },
  hdop: LONGEST_DOP,
  vdop: LONGEST_DOP,
  pdop: LONGEST_DOP,
  deviation: {
    rangeRmsM: LONGEST_M,
    majorM: LONGEST_M,
    minorM: LONGEST_M,
    orientationDeg: 123,
    latitudeM: LONGEST_M,
    longitudeM: LONGEST_M,
    altitudeM: LONGEST_M,
  },
  suspect: { id: 'C11', missedProbability: 0.5, biasM: -LONGEST_M, deviationM: LONGEST_M },
};

/** How full a module's line is, 1 being all of it: an estimate for a usual open sky. */
export interface LineLoad {
  /** Over many epochs. */
  readonly average: number;
  /** The epoch with the most sentences. */
  readonly worstEpoch: number;
  /** What that epoch takes of the transmit buffer, 1 being all of it. */
  readonly buffer: number;
}

/**
 * Estimates how full the line of a module is.
 * @param sky systems whose satellites there are; default: those of the module, GPS for one that takes all
 */
export function lineLoad(
  profile: ModuleProfile,
  sky: readonly SystemName[] = profile.receiver.systems ?? ['gps'],
): LineLoad {
  const { baud, epochMs, sentences } = profile;
  const capacity = ((baud / BITS_PER_BYTE) * epochMs) / 1000;
  const report = filled(LONG_REPORT, profile, (system) => (sky.includes(system) ? USUAL[system] : null));
  let average = 0;
  let worst = 0;
  for (const { name, every } of sentences) {
    const bytes = lengths(profile, name, report).reduce((sum, length) => sum + length, 0);
    average += bytes / every;
    worst += bytes;
  }
  return { average: average / capacity, worstEpoch: worst / capacity, buffer: worst / profile.transmitBufferBytes };
}

/** Sentences that take fewer satellites or digits where they would be too long. */
const SELF_LIMITING: readonly SentenceName[] = ['GSA', 'GSV', 'GRS'];

/** Its letters for the systems take the room of decimals that it therefore gives up at extreme heights. */
const YIELDING: SentenceName = 'GNS';

/**
 * The sentence that becomes the longest with a module's style, and its length with `$` and CR LF, bytes. Sentences keep
 * their decimals, but for differential corrections, a variation of 100 deg and more, and GNS at extreme heights.
 */
export function longestSentence(profile: ModuleProfile): { name: SentenceName; bytes: number } {
  const unlimited = { ...profile, style: { ...profile.style, longLines: true } };
  const extreme = filled(LONGEST_REPORT, profile, () => MANY);
  const kept = { ...extreme, differential: null, variationDeg: LONG_REPORT.variationDeg };
  const usual = { ...filled(LONG_REPORT, profile, () => MANY), differential: null };
  let longest: { name: SentenceName; bytes: number } = { name: 'GGA', bytes: 0 };
  for (const { name } of profile.sentences) {
    const all = lengths(profile, name, extreme);
    if (!SELF_LIMITING.includes(name)) all.push(...lengths(unlimited, name, name === YIELDING ? usual : kept));
    const bytes = Math.max(...all);
    if (bytes > longest.bytes) longest = { name, bytes };
  }
  return longest;
}

/**
 * A report with satellites of each system that a module tracks, on all of the module's signals.
 * @param counts null: the sky has none of the system, and no sentence tells of it
 */
function filled(
  report: Report,
  { receiver }: ModuleProfile,
  counts: (system: SystemName) => readonly [inView: number, used: number] | null,
): Report {
  const systems: SystemName[] = [];
  const used: string[] = [];
  const inView: SatelliteInView[] = [];
  for (const system of receiver.systems ?? SYSTEM_NAMES) {
    const signals = signalsOf(system, receiver.bands).map((kind) => ({ kind, cn0DbHz: 40 }));
    const count = counts(system);
    if (signals.length === 0 || count === null) continue;
    systems.push(system);
    const [inViewCount, usedCount] = count;
    for (let i = 0; i < inViewCount; i++) {
      const id = satelliteId(system, i + 11);
      if (i < usedCount) used.push(id);
      inView.push({ id, azimuthDeg: 123, elevationDeg: 45, cn0DbHz: 40, signals });
    }
  }
  const differential = receiver.sbasCorrections ? { ageS: LONGEST_AGE_S, station: 120 } : null;
  const systemModes = Object.fromEntries(systems.map((system) => [system, 'A' as const]));
  return { ...report, systemModes, used, residualsM: used.map(() => -1.5), inView, differential };
}

/** Lengths of the sentences of one name that an epoch has, with CR LF, bytes. */
function lengths({ style }: ModuleProfile, name: SentenceName, report: Report): number[] {
  return writeSentences(report, style, [name]).map((sentence) => sentence.length + 2);
}
