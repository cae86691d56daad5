import type { KeplerRecord } from '../../../src/sim/sky/broadcast-record.js';

/** A made-up record with corrections of the usual sizes. */
export const GPS_RECORD: KeplerRecord = {
  kind: 'kepler',
  id: 'G05',
  system: 'gps',
  isHealthy: true,
  sentAt: { week: 2111, towS: 338_418 },
  toc: { week: 2111, towS: 345_600 },
  clock: { af0S: -2.1e-5, af1: -1.1e-12, af2PerS: 0 },
  toe: { week: 2111, towS: 345_600 },
  rootSemiMajor: 5153.7,
  eccentricity: 0.0061,
  inclinationRad: 0.957,
  inclinationRateRadps: -1.7e-10,
  nodeRad: -1.2,
  nodeRateRadps: -8.1e-9,
  perigeeRad: 0.7,
  meanAnomalyRad: -2.4,
  meanMotionDeltaRadps: 4.6e-9,
  cucRad: -4.7e-6,
  cusRad: 5.4e-6,
  cicRad: 5.6e-8,
  cisRad: -9.3e-8,
  crcM: 278.4,
  crsM: -89.7,
  iode: 63,
  iodc: 63,
  accuracyM: 2,
  healthBits: 0,
  dataSource: 0,
  fitHours: 4,
  groupDelaysS: [-1.1e-8, 0],
};

const PLAIN = {
  inclinationRateRadps: 0,
  meanMotionDeltaRadps: 0,
  cucRad: 0,
  cusRad: 0,
  cicRad: 0,
  cisRad: 0,
  crcM: 0,
  crsM: 0,
};

/** Without harmonics, as an almanac gives it. */
export const PLAIN_RECORD: KeplerRecord = { ...GPS_RECORD, ...PLAIN };

/** The kinds of orbits: those of medium height, an inclined synchronous one, a geostationary one. */
export const RECORDS: readonly KeplerRecord[] = [
  GPS_RECORD,
  // As eccentric as E18.
  { ...GPS_RECORD, id: 'E18', system: 'galileo', rootSemiMajor: 5291.6, eccentricity: 0.16 },
  { ...GPS_RECORD, id: 'C30', system: 'beidou', rootSemiMajor: 5282.6 },
  {
    ...GPS_RECORD,
    id: 'C06',
    system: 'beidou',
    rootSemiMajor: 6493.4,
    nodeRateRadps: -1.5e-9,
    meanMotionDeltaRadps: 0,
  },
  { ...GPS_RECORD, id: 'J01', system: 'qzss', rootSemiMajor: 6493.4, eccentricity: 0.075, inclinationRad: 0.73 },
  { ...GPS_RECORD, id: 'I03', system: 'navic', rootSemiMajor: 6493.4, inclinationRad: 0.09 },
  // A plane as C05 has it: in the tilted frame.
  { ...GPS_RECORD, id: 'C05', system: 'beidou', rootSemiMajor: 6493.379, eccentricity: 3.8e-4, inclinationRad: 0.1136 },
];
