import { formatUtc } from '../base/time.js';
import type { LiveParts } from './live-control.js';
import type { Offer } from './offers.js';
import type { InForce } from './run-watch.js';

/** Where the antenna is, or is said to be. */
interface Position {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  readonly altitudeMslM: number | null;
}

/** How a run stands. */
export interface LiveStatus {
  /** Simulated time since the start, ms. */
  readonly atMs: number;
  readonly paused: boolean;
  /** Times real time. */
  readonly pace: number;
  /** Number of the last epoch; null before the first. */
  readonly epoch: number | null;
  /** The true time at the last epoch, and what the module claims; null where it claims none. */
  readonly utc: string | null;
  readonly reportUtc: string | null;
  readonly fix: 'none' | '2d' | '3d';
  readonly used: number;
  readonly inView: number;
  /** As the module reports it; null without a fix. */
  readonly position: Position | null;
  readonly truth: Position | null;
  /** Share of the time that the line is busy. */
  readonly lineLoad: number;
  /** Of the module's line, and of the host; null while no host has set one. */
  readonly baud: number;
  readonly hostBaud: number | null;
  readonly sentBytes: number;
  /** Of them: lost because no host took them. */
  readonly lostBytes: number;
  /** Faults and surroundings in force, or to come at the next tick. */
  readonly inForce: readonly InForce[];
  readonly offers: ReadonlyArray<{ readonly offer: number; readonly name: string; readonly on: boolean }>;
  /** What a host opens; null while the port is away. */
  readonly port: string | null;
  readonly seed: number;
  readonly title: string;
}

/** What of a control a status tells. */
interface ControlState {
  readonly isPaused: boolean;
  readonly pace: number;
  readonly inForce: readonly InForce[];
  readonly offers: readonly Offer[];
  isOn(offer: Offer): boolean;
}

/** How a run stands now. */
export function statusOf({ run, clock, scenario, watch, portName }: LiveParts, control: ControlState): LiveStatus {
  const epoch = watch.step?.epoch ?? null;
  const report = epoch?.report ?? null;
  const truth = epoch?.truth ?? null;
  return {
    atMs: Math.round(clock.nowMs() * 1000) / 1000,
    paused: control.isPaused,
    pace: control.pace,
    epoch: epoch?.index ?? null,
    utc: epoch === null ? null : formatUtc(epoch.utc),
    reportUtc: report === null || report.utc === null ? null : formatUtc(report.utc),
    fix: report?.fix ?? 'none',
    used: report?.used.length ?? 0,
    inView: report?.inView.length ?? 0,
    position: report === null ? null : positionOf(report),
    truth: truth === null ? null : positionOf(truth),
    lineLoad: Math.round(watch.load * 1000) / 1000,
    baud: run.baud,
    hostBaud: watch.hostBaud,
    sentBytes: watch.sentBytes,
    lostBytes: watch.lostBytes,
    inForce: control.inForce,
    offers: control.offers.map((offer) => ({ offer: offer.number, name: offer.name, on: control.isOn(offer) })),
    port: run.isPortAway ? null : portName(),
    seed: scenario.seed,
    title: scenario.title,
  };
}

function positionOf(place: {
  readonly latitudeDeg: number | null;
  readonly longitudeDeg: number | null;
  readonly altitudeMslM: number | null;
}): Position | null {
  const { latitudeDeg, longitudeDeg, altitudeMslM } = place;
  return latitudeDeg === null || longitudeDeg === null ? null : { latitudeDeg, longitudeDeg, altitudeMslM };
}
