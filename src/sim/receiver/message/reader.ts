import { SECONDS_PER_DAY, SECONDS_PER_WEEK, SPEED_OF_LIGHT_MPS } from '../../../base/constants.js';
import { type LeapSeconds, PUBLISHED_LEAP_SECONDS } from '../../../base/leap-seconds.js';
import { GPS_EPOCH_DAY, type GpsTime } from '../../../base/time.js';
import type { MessageListener, MessagePlan, MessageUnit } from './plan.js';

/** The message is taken to have jumped where its time moves so far against the receiver's: a few bits, s. */
const JUMP_S = 0.05;

/**
 * Reads one satellite's navigation message as it comes in: a unit counts once its last bit has arrived, if the bits
 * came without a break since its first.
 */
export class MessageReader {
  readonly #plan: MessagePlan;
  readonly #leap: LeapSeconds;
  /** GPS time less the time that the units are aligned to, s, and from when until when it holds, s of GPS time. */
  #shiftS: number;
  #shiftFromS = -Infinity;
  #shiftUntilS = Infinity;
  /** Units that had been sent at the last step, counted from GPS week 0; -Infinity: not yet known. */
  #complete = -Infinity;
  /** Time of sending less the receiver's, s: it moves only with the range, unless the message jumps. */
  #againstS = Number.NaN;
  #jumpedAtS = -Infinity;
  #date = 0;
  #dataSet = Number.NaN;
  #ephemeris = 0;
  #corrections = 0;
  #correctedIn = -Infinity;
  #almanacBegun: string | undefined;

  constructor(plan: MessagePlan, leap: LeapSeconds = PUBLISHED_LEAP_SECONDS) {
    this.#plan = plan;
    this.#leap = leap;
    this.#shiftS = plan.shiftS;
    if (plan.followsUtc) this.#shiftUntilS = -Infinity;
  }

  /** Forgets what had been read, and where in the message it was. */
  reset(): void {
    this.#complete = -Infinity;
    this.#againstS = Number.NaN;
    this.#jumpedAtS = -Infinity;
    this.#date = 0;
    this.#ephemeris = 0;
    this.#corrections = 0;
    this.#almanacBegun = undefined;
  }

  /**
   * @param tS the epoch, seconds since the start
   * @param gpsTime the same instant by the clock that the message is made from: of a false signal the false one
   * @param rangeM distance to the satellite: the message arrives that much later than it was sent
   * @param decodableSinceS since when bits arrive without a break, seconds since the start; null: they don't
   */
  step(tS: number, gpsTime: GpsTime, rangeM: number, decodableSinceS: number | null, to: MessageListener): void {
    const gpsS = gpsTime.week * SECONDS_PER_WEEK + gpsTime.towS;
    if (gpsS >= this.#shiftUntilS || gpsS < this.#shiftFromS) this.#alignToUtc(gpsS);
    const sentS = gpsS - this.#shiftS - rangeM / SPEED_OF_LIGHT_MPS;
    const againstS = sentS - tS;
    const hasJumped = Math.abs(againstS - this.#againstS) > JUMP_S;
    this.#againstS = againstS;
    if (hasJumped) this.#jumpedAtS = tS;
    const { unitS } = this.#plan;
    const complete = Math.floor(sentS / unitS);
    if (complete === this.#complete) return;
    const from = hasJumped ? complete : this.#complete;
    this.#complete = complete;
    if (decodableSinceS === null || from === -Infinity) return;
    const readableS = againstS + Math.max(decodableSinceS, this.#jumpedAtS);
    for (let unit = Math.max(from, Math.ceil(readableS / unitS)); unit < complete; unit++) this.#read(unit, to);
  }

  /** Finds GPS - UTC, and from when until when it holds: within the day, and a leap second at its end. */
  #alignToUtc(gpsS: number): void {
    const offsetOn = (day: number) => this.#leap.gpsMinusUtcOnDayS(day);
    let day = GPS_EPOCH_DAY + Math.floor(gpsS / SECONDS_PER_DAY);
    const beginS = (of: number) => (of - GPS_EPOCH_DAY) * SECONDS_PER_DAY + offsetOn(of);
    if (gpsS < beginS(day)) day--;
    this.#shiftS = this.#plan.shiftS + offsetOn(day);
    this.#shiftFromS = beginS(day);
    this.#shiftUntilS = beginS(day + 1);
  }

  /** @param unit counted from GPS week 0 */
  #read(unit: number, to: MessageListener): void {
    const plan = this.#plan;
    const ofWeek = ((unit % plan.unitsPerWeek) + plan.unitsPerWeek) % plan.unitsPerWeek;
    const content = plan.cycle[ofWeek % plan.cycle.length] as MessageUnit;
    if (content.timeOfWeek) to.timeOfWeek();
    if (content.date !== undefined) {
      this.#date |= content.date;
      if (this.#date === plan.dateParts) to.date();
    }
    if (content.leapSeconds) to.leapSeconds();
    if (content.ephemeris !== undefined) this.#readEphemeris(unit, content.ephemeris, to);
    if (content.corrections !== undefined) this.#readCorrections(unit, content.corrections, to);
    this.#readAlmanac(content, to);
  }

  /** Parts of different data sets are not mixed. */
  #readEphemeris(unit: number, parts: number, to: MessageListener): void {
    // A hundredth of a unit: the length of one need not be a binary fraction.
    const dataSet = Math.floor(((unit + 0.01) * this.#plan.unitS) / this.#plan.dataSetS);
    if (dataSet !== this.#dataSet) {
      this.#dataSet = dataSet;
      this.#ephemeris = 0;
    }
    this.#ephemeris |= parts;
    if (this.#ephemeris === this.#plan.ephemerisParts) to.ephemeris();
  }

  #readCorrections(unit: number, parts: number, to: MessageListener): void {
    if ((unit - this.#correctedIn) * this.#plan.unitS > this.#plan.correctionsLifeS) this.#corrections = 0;
    this.#correctedIn = unit;
    this.#corrections |= parts;
    if (this.#corrections === this.#plan.correctionsParts) to.corrections();
  }

  #readAlmanac({ almanac, almanacBegin, almanacEnd }: MessageUnit, to: MessageListener): void {
    if (almanac !== undefined) for (const id of almanac) to.almanac(id);
    if (almanacEnd !== undefined && almanacEnd === this.#almanacBegun) to.almanac(almanacEnd);
    if (almanacEnd !== undefined || almanacBegin !== undefined) this.#almanacBegun = almanacBegin;
  }
}
