import type { ScenarioSource } from '../scenario/scenario.js';
import type { Expectation } from './expectation.js';
import type { HostSettings } from './host/host-schema.js';
import type { ReportsSettings } from './reports/reports-settings.js';

/** How time goes on: so many times as fast as the machine's, or from epoch to epoch as the host reports. */
export type Pace =
  | { readonly kind: 'steady'; readonly factor: number }
  | { readonly kind: 'in-step'; readonly patienceMs: number };

/** A case of a trial: one value of each axis. */
export interface TrialCase {
  /** `drive/single-band-9600/seed-3/tunnel`. */
  readonly id: string;
  /** Name of the scenario. */
  readonly scenario: string;
  readonly module: string;
  readonly seed: number;
  /** Name of the set of faults; `none` where the trial has no sets. */
  readonly faults: string;
  /** The scenario that is played, with the set's entries at the end of its timeline. */
  readonly source: ScenarioSource;
  /** Where the files that the scenario names are looked for. */
  readonly baseFolder: string;
}

/** What a trial's file says beside its cases. */
export interface TrialPlan {
  readonly title: string;
  readonly file: string;
  readonly baseFolder: string;
  /** Of the file's text. */
  readonly textDigest: string;
  readonly pace: Pace;
  readonly host: HostSettings;
  /** For a host that runs already. */
  readonly port: string | null;
  readonly link: string | null;
  readonly openWithinMs: number;
  readonly settleMs: number;
  readonly reports: ReportsSettings;
  readonly expectations: readonly Expectation[];
}

/** A trial, read and checked. */
export interface Trial extends TrialPlan {
  /** Of its text and of what it plays, as the version at hand does. */
  readonly digest: string;
  /** All cases, exclusions left out, in the order of the axes. */
  readonly cases: readonly TrialCase[];
}
