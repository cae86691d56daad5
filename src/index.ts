export { LodestubError } from './base/error.js';
export type { GpsTime, Utc } from './base/time.js';
export { VERSION } from './base/version.js';
export type { Dropped, Segment, Transmission } from './emit/line/transmission.js';
export { FAULT_KINDS } from './faults/registry.js';
export { type LodestubModule, type OpenModuleOptions, openModule } from './run/open-module.js';
export type { EpochStep as Step } from './run/output.js';
export { moduleJsonSchema, scenarioJsonSchema } from './scenario/json-schema.js';
export type {
  Epoch,
  Observation,
  RangeTerms,
  Report,
  SatelliteInView,
  SatelliteTruth,
  Truth,
} from './sim/epoch.js';
export type { PlayedEpoch, RecordedEpoch } from './truth/recorded-epoch.js';
