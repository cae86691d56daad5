import type { Epoch, Report } from '../sim/epoch.js';

/** What sentences that were recorded say together, as far as they tell. */
export interface RecordedView extends Omit<Report, 'mode'> {
  /** The letter as it stands. */
  readonly mode: string;
}

/** An epoch of a recording: what the module said. What was true nobody knows. */
export interface RecordedEpoch extends Omit<Epoch, 'truth' | 'report' | 'receiverClock'> {
  readonly truth: null;
  readonly report: RecordedView;
  readonly receiverClock: null;
}

/** An epoch that was simulated, or recorded. */
export type PlayedEpoch = Epoch | RecordedEpoch;
