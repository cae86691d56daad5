import { SECONDS_PER_WEEK, SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import type { GpsTime } from '../../base/time.js';

/** GPS LNAV: subframes of 6 s, five to a frame, 25 frames to the almanac (IS-GPS-200N, 20.3.2, figure 20-1). */
const SUBFRAME_S = 6;
const SUBFRAMES_PER_FRAME = 5;
const PAGES = 25;
const SUBFRAMES_PER_WEEK = SECONDS_PER_WEEK / SUBFRAME_S;
/** The broadcast data set changes every two hours (IS-GPS-200N, 20.3.4.4). */
const DATA_SET_S = 7200;

/** What reading the message has brought. */
export interface MessageListener {
  /** Any subframe: its handover word tells the time of week. */
  timeOfWeek(): void;
  /** Subframe 1: the week number. */
  week(): void;
  /** Subframes 1, 2 and 3 of one data set. */
  ephemeris(): void;
  /** A page of subframe 4 or 5: the almanac of one satellite. */
  almanac(number: number): void;
}

/**
 * Reads one satellite's navigation message as it comes in: a subframe counts once its last bit has arrived, if the bits
 * came without a break since its first.
 */
export class LnavReader {
  #subframes = -1;
  #dataSet = -1;
  #collected = 0;

  reset(): void {
    this.#subframes = -1;
    this.#collected = 0;
  }

  /**
   * @param tS the epoch, seconds since the start; `gpsTime` the same instant
   * @param rangeM distance to the satellite: the message arrives that much later than it was sent
   * @param decodableSinceS since when bits arrive without a break, seconds since the start; null: they don't
   */
  step(tS: number, gpsTime: GpsTime, rangeM: number, decodableSinceS: number | null, to: MessageListener): void {
    const sentS = gpsTime.week * SECONDS_PER_WEEK + gpsTime.towS - rangeM / SPEED_OF_LIGHT_MPS;
    const complete = Math.floor(sentS / SUBFRAME_S);
    const first = this.#subframes < 0 ? complete : this.#subframes;
    this.#subframes = complete;
    if (decodableSinceS === null) return;
    const readableS = sentS - (tS - decodableSinceS);
    for (let subframe = first; subframe < complete; subframe++) {
      if (subframe * SUBFRAME_S >= readableS) this.#read(subframe, to);
    }
  }

  /** @param subframe counted from GPS week 0 */
  #read(subframe: number, to: MessageListener): void {
    const ofWeek = subframe % SUBFRAMES_PER_WEEK;
    const id = (ofWeek % SUBFRAMES_PER_FRAME) + 1;
    to.timeOfWeek();
    if (id <= 3) {
      const dataSet = Math.floor((subframe * SUBFRAME_S) / DATA_SET_S);
      if (dataSet !== this.#dataSet) {
        this.#dataSet = dataSet;
        this.#collected = 0;
      }
      this.#collected |= 1 << id;
      if (id === 1) to.week();
      if (this.#collected === 0b1110) to.ephemeris();
      return;
    }
    // Pages begin anew with the week; satellites 25 to 32 stand in subframe 4 (IS-GPS-200N, table 20-V).
    const page = (Math.floor(ofWeek / SUBFRAMES_PER_FRAME) % PAGES) + 1;
    if (id === 5 && page <= 24) to.almanac(page);
    const inSubframe4 = id === 4 ? [2, 3, 4, 5, 7, 8, 9, 10].indexOf(page) : -1;
    if (inSubframe4 >= 0) to.almanac(25 + inSubframe4);
  }
}
