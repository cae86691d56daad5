import { number } from '../../base/words.js';
import type { HeardSatellite } from '../../grammar/heard-epoch.js';
import { SYSTEM_TITLES } from '../../sim/sky/system.js';
import { percentile } from '../../statistics/percentile.js';
import { ThinnedSeries } from '../../statistics/thinned-series.js';
import { expectedCn0DbHz, isExpected } from '../expected-cn0.js';
import type { AntennaPart, AntennaSignal, ElevationBin, Item, Verdict } from '../inspect-report.js';
import type { Section } from '../section.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { isFirstSignal, type SkySystem, systemOfSatellite } from '../system-of-satellite.js';
import { Tally } from '../tally.js';
import { courseItem, SignalCourseWatch } from './signal-course.js';
import { percent } from './words.js';

/** Below it multipath, trees and houses decide, not the antenna, deg. */
const LEAST_ELEVATION_DEG = 10;
/**
 * How far the median of C/N0 minus the expected may be down, dB. A consumer receiver reads 1 to 3 dB less than the one
 * the curve was measured with, and C/N0 scatters by up to 1.8 dB about it: down to 5 dB is healthy. Twice that is what
 * no receiver explains: the antenna, its ground plane, its cable or its place (common practice).
 */
const WEAK_DB = -5;
const BAD_DB = -10;
/** Fewer values do not make a median that says anything. */
const LEAST_COUNT = 30;
/** Where so large a share of the satellites above 10 deg is never heard, the antenna is suspected. */
const BLANK_BAD = 0.9;
const BIN_DEG = 5;
const MOST_POINTS = 600;

interface OfSignal {
  readonly system: SkySystem;
  readonly signal: string | null;
  readonly bins: Tally[];
  readonly deviationsDb: Tally;
  count: number;
}

/** C/N0 against elevation, by system and signal: whether the antenna is healthy. */
export class AntennaSection implements Section<AntennaPart> {
  readonly #signals = new Map<string, OfSignal>();
  #listed = 0;
  #blank = 0;
  readonly #course: SignalCourseWatch;
  readonly #overTime = new ThinnedSeries<AntennaPart['overTime'][number]>(MOST_POINTS);

  constructor(clock: StreamClock) {
    this.#course = new SignalCourseWatch(clock);
  }

  epoch(timed: TimedEpoch): void {
    const { epoch, tS } = timed;
    if (epoch.satellites.length === 0) {
      if (epoch.inView === 0) this.#course.none(timed);
      return;
    }
    const heard: number[] = [];
    const deviationsDb: number[] = [];
    const before = this.#listed;
    for (const satellite of epoch.satellites) {
      const cn0DbHz = this.#add(satellite);
      if (cn0DbHz === null) continue;
      heard.push(cn0DbHz);
      const system = systemOfSatellite(satellite.talker, satellite.id);
      if (isExpected(system)) deviationsDb.push(cn0DbHz - expectedCn0DbHz(satellite.elevationDeg as number, system));
    }
    this.#course.epoch(timed, this.#listed - before, heard.length, deviationsDb);
    heard.sort((a, b) => a - b);
    const medianDbHz = heard.length === 0 ? null : percentile(heard, 50);
    this.#overTime.add({ tS, medianDbHz, heard: heard.length });
  }

  /** @returns C/N0 where it counts for the median over time */
  #add({ talker, id, signal, elevationDeg, cn0DbHz }: HeardSatellite): number | null {
    // Modules list 0 deg for a satellite whose place they do not know.
    if (elevationDeg === null || elevationDeg <= 0 || elevationDeg > 90) return null;
    const system = systemOfSatellite(talker, id);
    const isHigh = elevationDeg >= LEAST_ELEVATION_DEG;
    const isFirst = isFirstSignal(system, signal);
    if (isHigh && isFirst) {
      this.#listed += 1;
      if (cn0DbHz === null) this.#blank += 1;
    }
    if (cn0DbHz === null || cn0DbHz > 99) return null;
    const key = `${system} ${signal}`;
    let of = this.#signals.get(key);
    if (of === undefined) {
      if (this.#signals.size >= 40) return null;
      of = { system, signal, bins: [], deviationsDb: new Tally(0.1), count: 0 };
      this.#signals.set(key, of);
    }
    const place = Math.min(Math.floor(elevationDeg / BIN_DEG), 90 / BIN_DEG - 1);
    of.bins[place] ??= new Tally(0.1);
    of.bins[place].add(cn0DbHz);
    of.count += 1;
    if (isHigh) of.deviationsDb.add(cn0DbHz - expectedCn0DbHz(elevationDeg, system));
    return isHigh && isFirst ? cn0DbHz : null;
  }

  finish(): { part: AntennaPart; items: Item[] } {
    const signals = [...this.#signals.values()].map(signalOf);
    const blankShare = this.#listed === 0 ? null : this.#blank / this.#listed;
    const part: AntennaPart = {
      signals,
      expected: Array.from({ length: 19 }, (_, i) => 5 * i).map((elevationDeg) => ({
        elevationDeg,
        cn0DbHz: expectedCn0DbHz(elevationDeg),
      })),
      weakBelowDb: WEAK_DB,
      badBelowDb: BAD_DB,
      blankShare,
      overTime: this.#overTime.values,
      course: this.#course.finish(),
    };
    const items = signals.filter(isJudged).map((signal) => itemOf(signal));
    return { part, items: [heardItem(part, this.#listed), courseItem(part.course), ...items] };
  }
}

function isJudged({ system, signal }: AntennaSignal): boolean {
  return isExpected(system as SkySystem) && isFirstSignal(system as SkySystem, signal);
}

function signalOf({ system, signal, bins, deviationsDb, count }: OfSignal): AntennaSignal {
  // The curve is that of first signals: others have another power.
  const hasCurve = isExpected(system) && isFirstSignal(system, signal);
  const medianDeviationDb = hasCurve ? deviationsDb.percentile(50) : null;
  const isTested = hasCurve && deviationsDb.count >= LEAST_COUNT;
  return {
    system,
    signal,
    count,
    bins: bins.flatMap((tally, place) => (tally === undefined ? [] : [binOf(tally, place, hasCurve ? system : null)])),
    medianDeviationDb,
    verdict: !isTested || medianDeviationDb === null ? 'untested' : verdictOf(medianDeviationDb),
  };
}

function verdictOf(deviationDb: number): Verdict {
  return deviationDb < BAD_DB ? 'bad' : deviationDb < WEAK_DB ? 'remark' : 'good';
}

/** @param system null: nothing is expected of the signal */
function binOf(tally: Tally, place: number, system: SkySystem | null): ElevationBin {
  const fromDeg = place * BIN_DEG;
  return {
    fromDeg,
    toDeg: fromDeg + BIN_DEG,
    count: tally.count,
    medianDbHz: tally.percentile(50) as number,
    p10DbHz: tally.percentile(10) as number,
    p90DbHz: tally.percentile(90) as number,
    expectedDbHz: system === null ? null : expectedCn0DbHz(fromDeg + BIN_DEG / 2, system),
  };
}

function itemOf({ system, medianDeviationDb, verdict, count }: AntennaSignal): Item {
  const title = `Antenna, ${SYSTEM_TITLES[system as keyof typeof SYSTEM_TITLES]}`;
  const key = `antenna.${system}`;
  if (verdict === 'untested' || medianDeviationDb === null) {
    return {
      key,
      title,
      verdict: 'untested',
      reason: `too few C/N0 above ${LEAST_ELEVATION_DEG} deg (${count} in all)`,
    };
  }
  const size = number(Math.abs(medianDeviationDb), 1);
  const side = medianDeviationDb < 0 ? 'below' : 'above';
  const limits = `healthy down to ${-WEAK_DB} dB below, bad from ${-BAD_DB} dB on`;
  const word = { good: 'healthy', remark: 'weak', bad: 'bad' }[verdict];
  return { key, title, verdict, reason: `${word}: C/N0 ${size} dB ${side} the expected curve, median; ${limits}` };
}

function heardItem({ blankShare }: AntennaPart, count: number): Item {
  const key = 'antenna';
  const title = 'Signals heard';
  if (blankShare === null) return { key, title, verdict: 'untested', reason: 'no satellite is listed with its place' };
  const reason = `${percent(1 - blankShare)} of satellites listed above ${LEAST_ELEVATION_DEG} deg have a C/N0`;
  if (count < LEAST_COUNT)
    return { key, title, verdict: 'untested', reason: `${reason}, but only ${count} were listed` };
  if (blankShare >= BLANK_BAD) {
    return { key, title, verdict: 'bad', reason: `${reason}: an open or short antenna is suspected` };
  }
  return { key, title, verdict: blankShare > 0.5 ? 'remark' : 'good', reason };
}
