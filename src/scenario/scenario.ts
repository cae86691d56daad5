import type { LeapSeconds } from '../base/leap-seconds.js';
import type { Utc } from '../base/time.js';
import type { Dialect } from '../dialect/command.js';
import type { ModuleProfile } from '../emit/module-profile.js';
import type { FaultKind } from '../faults/fault.js';
import type { Recording } from '../replay/recording.js';
import type { StartKind } from '../sim/epoch.js';
import type { ErrorSwitches } from '../sim/signal/error-switches.js';
import type { SystemName } from '../sim/sky/system.js';
import type { Surroundings } from '../sim/surroundings.js';
import type { RouteStep } from '../sim/trajectory/route.js';
import type { Trajectory } from '../sim/trajectory/trajectory.js';

/** A module, and the language that it understands. */
export interface Module extends ModuleProfile {
  readonly dialect: Dialect;
}

/** What happens at a time of the run. */
export type TimelineEntry = {
  /** Place in the timeline, from 1. */
  readonly place: number;
  /** The first part of its ids in the journal: the place, unless the entry says otherwise. */
  readonly name: string;
  /** When it begins, s after the start. */
  readonly atS: number;
  /** How long it is in force, s; null: to the end, or as long as the kind of fault says. */
  readonly forS: number | null;
} & (
  | {
      readonly kind: 'fault';
      readonly fault: FaultKind;
      readonly settings: Readonly<Record<string, unknown>>;
      /** At random times in [atS, untilS), so many a second on average; null: once. */
      readonly chance: { readonly ratePerS: number; readonly untilS: number } | null;
    }
  | { readonly kind: 'surroundings'; readonly surroundings: Surroundings }
  /** Bytes that come from the host. */
  | { readonly kind: 'command'; readonly bytes: Uint8Array }
  /** What another entry has brought about is over. */
  | { readonly kind: 'clear'; readonly entry: string }
  /** The run ends: with the sentence that is on the line, or in the middle of it. */
  | { readonly kind: 'stop'; readonly stop: StopKind }
);

/** How a run is stopped. */
export type StopKind = 'after-sentence' | 'at-once';

/** What may be started by hand while the scenario is played. */
export type LiveOffer = {
  /** How long, s; null: as long as the kind of fault says, or until it is cleared. */
  readonly forS: number | null;
} & (
  | { readonly kind: 'fault'; readonly fault: FaultKind; readonly settings: Readonly<Record<string, unknown>> }
  | { readonly kind: 'surroundings'; readonly surroundings: Surroundings }
);

/** What a scenario was read from. */
export interface ScenarioSource {
  /** The file that it stands in, or is to be thought of as standing in; null: none. */
  readonly file: string | null;
  /** YAML. */
  readonly text: string;
  /** What was set in place of what the text says. */
  readonly changes: ScenarioOverrides;
}

/** A file that the scenario names. */
export interface NamedText {
  readonly path: string;
  readonly text: string;
}

/** The satellites of a scenario. */
export interface SkyChoice {
  readonly systems: readonly SystemName[];
  /** The text of a YUMA or SEM almanac and where it came from; null: none. */
  readonly almanac: NamedText | null;
  /**
   * The text of a RINEX navigation file and where it came from; null with `almanac` too: the reference constellation.
   */
  readonly navigation: NamedText | null;
  /** An almanac over 180 days from the start, or a file of other days, is moved there. */
  readonly shift: boolean;
  /** Satellites that send nothing: G05. */
  readonly outOfService: readonly string[];
}

/** A scenario, read and checked, with every default filled in. */
export interface Scenario {
  readonly title: string;
  readonly seed: number;
  /** UTC at tick 0. */
  readonly start: Utc | 'now';
  /** s; null: the route's length, or the recording's. */
  readonly durationS: number | null;
  readonly module: Module;
  readonly receiverStart: StartKind;
  readonly errors: ErrorSwitches;
  /** Those that there are in this scenario. */
  readonly leapSeconds: LeapSeconds;
  readonly sky: SkyChoice;
  readonly surroundings: Surroundings;
  /** What is played in place of a receiver; null: a receiver is simulated. */
  readonly recording: Recording | null;
  /** Empty beside a recording. */
  readonly route: readonly RouteStep[];
  /** The antenna's motion along the route. Of a recording nobody knows more than its length. */
  readonly trajectory: Trajectory;
  readonly timeline: readonly TimelineEntry[];
  /** Nine at most. */
  readonly live: readonly LiveOffer[];
  readonly source: ScenarioSource;
  /** The file it was read from; null where it was made from options. */
  readonly file: string | null;
}

/** What the command line sets in place of what the scenario says, within the bounds of a scenario's own settings. */
export interface ScenarioOverrides {
  readonly seed?: number;
  /** Name of a module profile, or a file. */
  readonly module?: string;
  /** s */
  readonly durationS?: number;
  /** Speed of the module's line, baud. */
  readonly baud?: number;
}

/** How files that a scenario names are read; a missing one throws. */
export interface FileReader {
  readText(path: string): Promise<string> | string;
}
