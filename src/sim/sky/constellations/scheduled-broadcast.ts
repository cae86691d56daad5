import { addSeconds, type GpsTime, secondsBetween } from '../../../base/time.js';
import type { BroadcastRecord } from '../broadcast-record.js';
import type { Broadcast } from '../orbit.js';
import type { Schedule } from './schedule.js';

/** So many records are kept: those around the present one. */
const KEPT = 16;

/** Records that are made when they are asked for; the same one is the same object while it is kept. */
export class ScheduledBroadcast implements Broadcast {
  readonly #kept = new Map<number, BroadcastRecord>();
  #present: BroadcastRecord | null = null;
  #fromS = 0;
  #untilS = 0;

  /** @param make the record of a reference time, with its number in the schedule */
  constructor(
    private readonly start: GpsTime,
    private readonly schedule: Schedule,
    private readonly make: (toe: GpsTime, index: number) => BroadcastRecord,
  ) {}

  recordAt(sinceStartS: number): BroadcastRecord {
    if (this.#present === null || sinceStartS < this.#fromS || sinceStartS >= this.#untilS) {
      const index = this.schedule.indexAt(addSeconds(this.start, sinceStartS));
      this.#present = this.#record(index);
      this.#fromS = this.#sentS(index);
      this.#untilS = this.#sentS(index + 1);
    }
    return this.#present;
  }

  /** Those sent in the time, and one before: Galileo's is used only once its reference time has passed. */
  records(fromS: number, untilS: number): readonly BroadcastRecord[] {
    const first = this.schedule.indexAt(addSeconds(this.start, fromS)) - 1;
    const last = this.schedule.indexAt(addSeconds(this.start, untilS));
    const out: BroadcastRecord[] = [];
    for (let index = first; index <= last; index++) out.push(this.#record(index));
    return out;
  }

  #sentS(index: number): number {
    return secondsBetween(this.schedule.toeOf(index), this.start) - this.schedule.leadS;
  }

  #record(index: number): BroadcastRecord {
    const known = this.#kept.get(index);
    if (known !== undefined) return known;
    const record = this.make(this.schedule.toeOf(index), index);
    if (this.#kept.size >= KEPT) this.#kept.clear();
    this.#kept.set(index, record);
    return record;
  }
}
