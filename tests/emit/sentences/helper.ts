import { DEFAULT_STYLE, type SentenceStyle } from '../../../src/emit/sentences/style.js';
import type { Mode, Report, SatelliteInView } from '../../../src/sim/epoch.js';
import { SIGNAL_KINDS, type SignalKind, type SignalName } from '../../../src/sim/signal/signal-kind.js';
import { type SystemName, systemOf } from '../../../src/sim/sky/system.js';

/** A style with as many decimals as a usual module has, and a fixed talker. */
export function style(more: Partial<SentenceStyle> = {}): SentenceStyle {
  return { ...DEFAULT_STYLE, talker: 'GP', dopDecimals: 2, ...more };
}

/** A signal's kind, by the system and the signal's name. */
export function kindOf(system: SystemName, name: SignalName): SignalKind {
  return SIGNAL_KINDS.find((kind) => kind.system === system && kind.name === name) as SignalKind;
}

/** A satellite in view, tracked on these signals. */
export function inView(
  id: string,
  azimuthDeg: number | null,
  elevationDeg: number | null,
  signals: Readonly<Partial<Record<SignalName, number>>> = {},
): SatelliteInView {
  const tracked = Object.entries(signals).map(([name, cn0DbHz]) => ({
    kind: kindOf(systemOf(id), name as SignalName),
    cn0DbHz,
  }));
  return { id, azimuthDeg, elevationDeg, cn0DbHz: tracked[0]?.cn0DbHz ?? null, signals: tracked };
}

/** The same mode for each of these systems. */
export function modes(mode: Mode, ...systems: SystemName[]): Report['systemModes'] {
  return Object.fromEntries(systems.map((system) => [system, mode]));
}

/** Nothing is known, of a GPS receiver. */
export const NOTHING: Report = {
  fix: 'none',
  quality: 0,
  mode: 'N',
  systemModes: modes('N', 'gps'),
  status: 'V',
  utc: null,
  utcMinuteS: 60,
  timeKnown: false,
  dateKnown: false,
  latitudeDeg: null,
  longitudeDeg: null,
  altitudeMslM: null,
  geoidSeparationM: null,
  speedMps: null,
  courseDeg: null,
  variationDeg: null,
  heading: null,
  hdop: null,
  vdop: null,
  pdop: null,
  used: [],
  residualsM: [],
  deviation: null,
  suspect: null,
  differential: null,
  inView: [],
};

/** A position fix with four satellites, south and west, 10 kn to the west-south-west. */
export const FIX: Report = {
  ...NOTHING,
  fix: '3d',
  quality: 1,
  mode: 'A',
  systemModes: modes('A', 'gps'),
  status: 'A',
  utc: { year: 2026, month: 5, day: 12, hour: 6, minute: 40, second: 7.5 },
  timeKnown: true,
  dateKnown: true,
  latitudeDeg: -33.5,
  longitudeDeg: -70.25,
  altitudeMslM: 545.4,
  geoidSeparationM: -31.25,
  speedMps: 5.144444444444445,
  courseDeg: 247.5,
  hdop: 0.925,
  vdop: 1.5,
  pdop: 1.75,
  used: ['G02', 'G05', 'G12', 'G25'],
  residualsM: [0.25, -1.5, 3.75, -0.04],
  inView: [
    inView('G02', 83.2, 40.5, { L1: 46.4 }),
    inView('G05', 359.7, 17.2, { L1: 41 }),
    inView('G12', 0.2, 89.6, { L1: 9.6 }),
    inView('G25', 344, 4.4),
    inView('G31', null, null, { L1: 33 }),
  ],
};

/** Time and date without a position. */
export const TIME_AND_DATE: Report = { ...NOTHING, utc: FIX.utc, timeKnown: true, dateKnown: true };
/** The time of day without the date. */
export const TIME_ONLY: Report = { ...TIME_AND_DATE, dateKnown: false };

/** Seven systems, two bands, with all that a receiver can know. */
export const ALL: Report = {
  ...FIX,
  quality: 2,
  mode: 'D',
  systemModes: { gps: 'D', glonass: 'A', galileo: 'D', beidou: 'A', qzss: 'N', navic: 'A', sbas: 'N' },
  variationDeg: -3.25,
  heading: { headingDeg: 240, rateDegPerMin: -12.34 },
  used: ['G02', 'G05', 'R03', 'R17', 'E11', 'E36', 'C05', 'C46', 'I04'],
  residualsM: [0.25, -1.5, 3.75, -0.04, 12.34, -99.96, 100.4, -1234, 0],
  deviation: {
    rangeRmsM: 2.34,
    majorM: 3.21,
    minorM: 1.23,
    orientationDeg: 78.9,
    latitudeM: 1.5,
    longitudeM: 3.1,
    altitudeM: 5.55,
  },
  suspect: { id: 'E36', missedProbability: 0.125, biasM: -7.25, deviationM: 4.5 },
  differential: { ageS: 5, station: 120 },
  inView: [
    inView('G02', 83.2, 40.5, { L1: 46.4, L5: 48.2 }),
    inView('G05', 359.7, 17.2, { L1: 41 }),
    inView('G12', 10, 60, { L5: 44 }),
    inView('R03', 12, 30, { G1: 40, G2: 35 }),
    inView('R17', 120, 11, { G1: 31 }),
    inView('E11', 200, 70, { E1: 44, E5a: 46 }),
    inView('E36', 300, 33, { E1: 39, E5a: 41 }),
    inView('C05', 150, 25, { B1: 38, B2a: 42 }),
    inView('C46', 250, 45, { B1: 43, B3: 42 }),
    inView('J02', 90, 5),
    inView('I04', 95, 42, { L5: 40 }),
    inView('S20', 180, 20, { L1: 37 }),
  ],
};

/** A sentence's body: without `$` and checksum. */
export function bodyOf(sentence: string): string {
  return sentence.slice(1, -3);
}
