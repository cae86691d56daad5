import { utcMsFrom } from '../base/utc-ms.js';
import { distanceM } from '../statistics/distance-m.js';
import type { Evidence, HostReport, TrialEpoch } from './evidence.js';
import { firstToldMs } from './told.js';

/** A report, and what it is about. */
export interface PairedReport {
  readonly report: HostReport;
  /** Null: it tells no time, and no epoch had begun to reach the host, or none had for two intervals. */
  readonly epoch: TrialEpoch | null;
  /** Simulated ms: the epoch's own time, or beside it by as much as the told time is; without an epoch the arrival. */
  readonly aboutMs: number;
  /** `time`: by the UTC that it tells; `arrival`: it tells none, or none of a near epoch. */
  readonly by: 'time' | 'arrival';
}

/**
 * After so many intervals, and at least so long, a report without a time is no longer about the last epoch that the
 * host had: nothing has come since, and it speaks of its own time.
 */
const OLD_INTERVALS = 2;
const OLD_MS = 1000;

const KNOWN = new WeakMap<Evidence, readonly PairedReport[]>();

/**
 * Which epoch each report is about, in the reports' order.
 *
 * By the UTC that it tells: the nearest epoch, at most half an interval off, that had begun when the report came; what
 * the module claimed goes before what was true, and of epochs that claim the same the newest is meant. Else by its
 * arrival: the newest epoch that the host had whole, or one of which it had a first sentence with a position or time,
 * where that one's reported place is nearer to what the host says.
 */
export function pairedReports(evidence: Evidence): readonly PairedReport[] {
  const known = KNOWN.get(evidence);
  if (known !== undefined) return known;
  const claimed = timesOf(evidence.epochs, ({ report }) => (report.utc === null ? null : utcMsFrom(report.utc)));
  const actual = timesOf(evidence.epochs, ({ utcMs }) => utcMs);
  const arrivals = new Arrivals(evidence);
  const halfMs = evidence.epochMs / 2;
  const oldMs = Math.max(OLD_MS, OLD_INTERVALS * evidence.epochMs);
  const pairs = evidence.reports.map((report): PairedReport => {
    const { utcMs, arrivedMs } = report;
    const near =
      utcMs === null ? null : (nearest(claimed, utcMs, halfMs, arrivedMs) ?? nearest(actual, utcMs, halfMs, arrivedMs));
    if (near !== null) {
      return { report, epoch: near.epoch, aboutMs: near.epoch.atMs + (utcMs as number) - near.utcMs, by: 'time' };
    }
    const epoch = likeliest(arrivals.candidates(arrivedMs), report);
    const isOld = epoch === null || arrivedMs - (epoch.toldMs ?? arrivedMs) > oldMs;
    if (isOld) return { report, epoch: null, aboutMs: arrivedMs, by: 'arrival' };
    return { report, epoch, aboutMs: epoch.atMs, by: 'arrival' };
  });
  KNOWN.set(evidence, pairs);
  return pairs;
}

/** An epoch by a time that belongs to it. */
interface TimedEpoch {
  readonly utcMs: number;
  readonly epoch: TrialEpoch;
}

/** In order of time; at one time, in that of the epochs. */
function timesOf(epochs: readonly TrialEpoch[], timeOf: (epoch: TrialEpoch) => number | null): TimedEpoch[] {
  const times: TimedEpoch[] = [];
  for (const epoch of epochs) {
    const utcMs = timeOf(epoch);
    if (utcMs !== null) times.push({ utcMs, epoch });
  }
  return times.sort((a, b) => a.utcMs - b.utcMs || a.epoch.index - b.epoch.index);
}

/** The nearest in time that had begun by `byMs`; of several, the newest. Null: none is within `halfMs`. */
function nearest(times: readonly TimedEpoch[], utcMs: number, halfMs: number, byMs: number): TimedEpoch | null {
  let best: TimedEpoch | null = null;
  for (let i = countUpTo(times, utcMs - halfMs, true); i < times.length; i++) {
    const each = times[i] as TimedEpoch;
    if (each.utcMs > utcMs + halfMs) break;
    if (each.epoch.atMs > byMs) continue;
    const isNearer = best === null || Math.abs(each.utcMs - utcMs) < Math.abs(best.utcMs - utcMs);
    const isAlike = best !== null && Math.abs(each.utcMs - utcMs) === Math.abs(best.utcMs - utcMs);
    if (isNearer || (isAlike && each.epoch.index > (best?.epoch.index ?? 0))) best = each;
  }
  return best;
}

/** How many are before a time, or with it where it is not `isExclusive`. */
function countUpTo(times: readonly { readonly utcMs: number }[], utcMs: number, isExclusive: boolean): number {
  let [low, high] = [0, times.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    const time = (times[middle] as { readonly utcMs: number }).utcMs;
    if (time < utcMs || (!isExclusive && time === utcMs)) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Which epochs the host knew of at a time. */
export class Arrivals {
  /** By when they were whole, and by when their first sentence with a position or time was. */
  readonly #whole: TimedEpoch[];
  readonly #begun: TimedEpoch[];

  constructor(evidence: Evidence) {
    const first = firstToldMs(evidence);
    this.#whole = timesOf(evidence.epochs, ({ toldMs }) => toldMs);
    this.#begun = timesOf(evidence.epochs, ({ index }) => first.get(index) ?? null);
  }

  /** The newest that was whole, first, and those after it of which something was there. */
  candidates(atMs: number): TrialEpoch[] {
    const whole = this.#whole[countUpTo(this.#whole, atMs, false) - 1]?.epoch;
    const found = whole === undefined ? [] : [whole];
    for (let i = countUpTo(this.#begun, atMs, false) - 1; i >= 0; i--) {
      const { epoch } = this.#begun[i] as TimedEpoch;
      if (whole !== undefined && epoch.index <= whole.index) break;
      found.push(epoch);
    }
    return found;
  }
}

/** The one whose reported place is nearest to what the host says; of those alike, and where it says none, the first. */
function likeliest(candidates: readonly TrialEpoch[], { latitudeDeg, longitudeDeg }: HostReport): TrialEpoch | null {
  let best: TrialEpoch | null = candidates[0] ?? null;
  if (candidates.length < 2 || latitudeDeg === null || longitudeDeg === null) return best;
  let leastM = Infinity;
  for (const epoch of candidates) {
    const { report } = epoch;
    if (report.latitudeDeg === null || report.longitudeDeg === null) continue;
    const place = { latitudeDeg: report.latitudeDeg, longitudeDeg: report.longitudeDeg };
    const offM = distanceM(place, { latitudeDeg, longitudeDeg });
    if (offM < leastM) [best, leastM] = [epoch, offM];
  }
  return best;
}
