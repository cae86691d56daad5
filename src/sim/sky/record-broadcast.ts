import { type GpsTime, secondsBetween } from '../../base/time.js';
import type { BroadcastRecord } from './broadcast-record.js';
import { segmentStartS } from './interpolated-orbit.js';
import { KeplerOrbit } from './kepler-orbit.js';
import type { Broadcast, Orbit } from './orbit.js';
import { StateOrbit } from './state-orbit.js';
import type { SystemName } from './system.js';

/**
 * How far from its reference time a record is still used, s. GPS, QZSS: half of the fit interval of 4 h (IS-GPS-200N,
 * 20.3.4.4). Galileo: 4 h of validity (Galileo OS SDD, from memory), of which {@link GALILEO_BEFORE_S} before. BeiDou,
 * NavIC: 2 h (common practice; both renew their data every hour or two). GLONASS: 15 min nominal (ICD 5.1, 4.4),
 * doubled for the ends of a file. SBAS: time-out of 6 min of its navigation message (RTCA DO-229, from memory).
 */
const VALIDITY_S: Readonly<Record<SystemName, number>> = {
  gps: 7200,
  qzss: 7200,
  galileo: 14_400,
  beidou: 7200,
  navic: 7200,
  glonass: 1800,
  sbas: 360,
};
/** Galileo sends a record only once its reference time has passed: an hour before it the orbit is off by 5 m, s. */
const GALILEO_BEFORE_S = 3600;
/** The longest fit interval that is believed, h (IS-GPS-200N, table 20-XII, goes on to days of extended operation). */
const LONGEST_FIT_HOURS = 26;

/** How long before its reference time a record is used, s. */
export function validityBeforeS(record: BroadcastRecord): number {
  return record.system === 'galileo' ? GALILEO_BEFORE_S : validityS(record);
}

/** How long after its reference time a record is used, s. */
export function validityS(record: BroadcastRecord): number {
  const usualS = VALIDITY_S[record.system];
  if (record.kind === 'state' || !(record.fitHours <= LONGEST_FIT_HOURS)) return usualS;
  return Math.max(usualS, record.fitHours * 1800);
}

/**
 * One satellite's records of a navigation file. In force is the one nearest by its reference time, the earlier of two
 * equally near; of several with one reference time the one sent last. A handover falls on the boundary of a segment of
 * the interpolated orbit, so that orbit and clock change together.
 */
export class RecordBroadcast implements Broadcast {
  readonly #records: readonly BroadcastRecord[];
  readonly #start: GpsTime;
  /** Reference times and times of sending after the start, s. */
  readonly #toeS: Float64Array;
  readonly #sentS: Float64Array;
  #askedS = Number.NaN;
  #index = 0;
  #orbitIndex = -1;
  #orbit: Orbit | null = null;

  /** @param records of one satellite, at least one, in any order */
  constructor(records: readonly BroadcastRecord[], start: GpsTime) {
    if (records.length === 0) throw new Error('a satellite without a record');
    this.#records = [...records].sort((a, b) => secondsBetween(a.toe, b.toe) || secondsBetween(a.sentAt, b.sentAt));
    this.#start = start;
    this.#toeS = Float64Array.from(this.#records, ({ toe }) => secondsBetween(toe, start));
    this.#sentS = Float64Array.from(this.#records, ({ sentAt }) => secondsBetween(sentAt, start));
  }

  recordAt(sinceStartS: number): BroadcastRecord {
    return this.#records[this.#indexAt(sinceStartS)] as BroadcastRecord;
  }

  records(fromS: number, untilS: number): readonly BroadcastRecord[] {
    return this.#records.slice(this.#indexAt(fromS), this.#indexAt(untilS) + 1);
  }

  /** The orbit that follows from the record in force. */
  orbitAt(sinceStartS: number): Orbit {
    const index = this.#indexAt(sinceStartS);
    if (this.#orbit === null || index !== this.#orbitIndex) {
      const record = this.#records[index] as BroadcastRecord;
      const start = this.#start;
      this.#orbit = record.kind === 'kepler' ? new KeplerOrbit(record, start) : new StateOrbit(record, start);
      this.#orbitIndex = index;
    }
    return this.#orbit;
  }

  /** `absent` where the nearest record is no longer, or not yet, in force. */
  statusAt(sinceStartS: number): 'healthy' | 'unhealthy' | 'absent' {
    const record = this.recordAt(sinceStartS);
    const sinceToeS = sinceStartS - (this.#toeS[this.#index] as number);
    if (sinceToeS > validityS(record) || -sinceToeS > validityBeforeS(record)) return 'absent';
    return record.isHealthy ? 'healthy' : 'unhealthy';
  }

  #indexAt(sinceStartS: number): number {
    const tS = segmentStartS(sinceStartS);
    if (tS !== this.#askedS) {
      this.#index = this.#search(tS);
      this.#askedS = tS;
    }
    return this.#index;
  }

  #search(tS: number): number {
    const toe = this.#toeS;
    const after = firstAbove(toe, tS);
    const before = after - 1;
    const isLater = before < 0 || (after < toe.length && (toe[after] as number) - tS < tS - (toe[before] as number));
    const toeS = toe[isLater ? after : before] as number;
    // Of those with the same reference time: the one sent last, or the first where none has been sent yet.
    const end = firstAbove(toe, toeS);
    let index = end - 1;
    while (index > 0 && toe[index - 1] === toeS && (this.#sentS[index] as number) > tS) index--;
    return index;
  }
}

/** Index of the first value above `limit` in an ascending row. */
function firstAbove(row: Float64Array, limit: number): number {
  let [low, high] = [0, row.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((row[middle] as number) > limit) high = middle;
    else low = middle + 1;
  }
  return low;
}
