import type { Bar, Item, Occurrence, TimingPart } from '../inspect-report.js';
import type { Section, StreamOptions } from '../section.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { Tally } from '../tally.js';
import { LineLoad } from './line-load.js';
import { counted, lasting, number, percent } from './words.js';

/** A step of so many usual ones is a gap: an epoch or more is missing. */
const GAP_STEPS = 1.5;
/** Steps up to here are kept to the millisecond, longer ones to the second, ms. */
const FINE_MS = 10_000;
const LONGEST_MS = 1e9;
/** Gaps that are told of, the longest. */
const MOST_GAPS = 20;
/** A gap up to here is an epoch lost now and then; longer ones make a host time out (common practice), s. */
const SHORT_GAP_S = 3;
/** Share of the time that may be missing. */
const MOST_MISSING = 0.01;
/** Beyond this, rates and speeds worked out by arrival are off by a tenth at 1 Hz (common practice), ms. */
const MOST_JITTER_MS = 100;
const HISTOGRAM_BARS = 40;

/** The rhythm of the epochs: interval, gaps and jitter, and how full the line is. */
export class TimingSection implements Section<TimingPart> {
  readonly #clock: StreamClock;
  readonly #isArrivalUtc: boolean;
  readonly #load: LineLoad;
  /** By stamps, and by arrival. */
  readonly #steps = { stamps: new Tally(1), arrival: new Tally(1) };
  readonly #gaps = { stamps: new Longest(), arrival: new Longest() };
  readonly #delayMs = new Tally(1);
  #epochs = 0;
  #firstS: number | null = null;
  #lastS = 0;

  constructor(clock: StreamClock, { baud = null, isArrivalUtc = false }: StreamOptions) {
    this.#clock = clock;
    this.#load = new LineLoad(baud);
    this.#isArrivalUtc = isArrivalUtc;
  }

  epoch(timed: TimedEpoch): void {
    const { epoch, stampStepS, arrivalStepS, arrivalMs, tS } = timed;
    this.#epochs += 1;
    this.#firstS ??= tS;
    this.#lastS = tS;
    this.#load.epoch(timed);
    // A step back is none of the rhythm's business.
    if (stampStepS !== null && stampStepS >= 0) this.#step('stamps', stampStepS, timed);
    if (arrivalStepS !== null) this.#step('arrival', arrivalStepS, timed);
    if (this.#isArrivalUtc && arrivalMs !== null && epoch.utcMs !== null) {
      const delayMs = arrivalMs - epoch.utcMs;
      if (Math.abs(delayMs) < FINE_MS) this.#delayMs.add(delayMs);
    }
  }

  #step(source: 'stamps' | 'arrival', stepS: number, { piece, epoch }: TimedEpoch): void {
    const stepMs = Math.min(LONGEST_MS, stepS * 1000);
    this.#steps[source].add(stepMs <= FINE_MS ? stepMs : Math.round(stepMs / 1000) * 1000);
    this.#gaps[source].add(stepS, () => this.#clock.occurrence(piece, epoch));
  }

  finish(): { part: TimingPart; items: Item[] } {
    const source = this.#steps.arrival.count > 0 ? 'arrival' : this.#steps.stamps.count > 0 ? 'stamps' : null;
    const steps = source === null ? new Tally(1) : this.#steps[source];
    // Stamps of whole seconds at several epochs a second tell nothing of a single step.
    const medianMs = steps.percentile(50) || meanOf(steps);
    const gapMs = medianMs === null ? Infinity : medianMs * GAP_STEPS;
    const gapsBySteps = steps.entries().filter(([stepMs]) => stepMs > gapMs);
    const longestMs = gapsBySteps.at(-1)?.[0] ?? null;
    const isCoarse = steps.percentile(50) === 0;
    const gaps = source === null ? [] : this.#gaps[source].longest(gapMs / 1000);
    const { bytesPerS, fullestBytesPerS, load, fullestLoad, items } = this.#load.finish();
    const part: TimingPart = {
      intervalS: medianMs === null ? null : medianMs / 1000,
      source,
      jitterMs: medianMs === null || isCoarse ? null : jitterOf(steps, medianMs, gapMs),
      histogram: medianMs === null ? [] : barsOf(steps, medianMs),
      gapCount: isCoarse ? 0 : gapsBySteps.reduce((sum, [, count]) => sum + count, 0),
      longestGapS: longestMs === null || isCoarse ? null : longestMs / 1000,
      gaps: isCoarse ? [] : gaps,
      bytesPerS,
      fullestBytesPerS,
      load,
      fullestLoad,
      delayMs: delayOf(this.#delayMs),
    };
    const missingMs = gapsBySteps.reduce((sum, [stepMs, count]) => sum + count * (stepMs - (medianMs ?? 0)), 0);
    const missing = missingMs / 1000 / Math.max(1e-3, this.#lastS - (this.#firstS ?? 0));
    return { part, items: [...items, this.#gapItem(part, missing), jitterItem(part)] };
  }

  #gapItem({ intervalS, gapCount, longestGapS, gaps, source }: TimingPart, missing: number): Item {
    const key = 'gaps';
    const title = 'Gaps';
    if (intervalS === null || intervalS === 0) return { key, title, verdict: 'untested', reason: 'no times to tell' };
    const by = source === 'arrival' ? 'by arrival' : 'by the time stamps';
    const rate = intervalS <= 1 ? `${number(1 / intervalS, 1)} Hz` : `one in ${number(intervalS, 1)} s`;
    const what = `${counted(this.#epochs, 'epoch')}, ${rate} ${by}`;
    if (gapCount === 0 || longestGapS === null) return { key, title, verdict: 'good', reason: `${what}, none missing` };
    const longest = gaps.reduce<(typeof gaps)[number] | null>(
      (best, gap) => (best === null || gap.lastsS > best.lastsS ? gap : best),
      null,
    );
    const where = longest === null ? '' : ` before line ${longest.line}`;
    const much = `${percent(Math.min(1, missing))} of the time missing`;
    const reason = `${what}; ${counted(gapCount, 'gap')}, up to ${lasting(longestGapS)}${where}, ${much}`;
    const isFew = longestGapS <= SHORT_GAP_S + intervalS && missing <= MOST_MISSING;
    return { key, title, verdict: isFew ? 'remark' : 'bad', reason };
  }
}

function jitterItem({ jitterMs, source, intervalS, delayMs }: TimingPart): Item {
  const key = 'jitter';
  const title = 'Jitter';
  if (source !== 'arrival' || jitterMs === null || intervalS === null) {
    const reason = 'a log without times of arrival does not tell';
    return { key, title, verdict: 'untested', reason };
  }
  const delay = delayMs === null ? '' : `; ${delayMs.median} ms after the stamp, 95 % within ${delayMs.p95} ms`;
  const reason = `${number(jitterMs, 1)} ms standard deviation of ${number(intervalS, 2)} s${delay}`;
  const limitMs = MOST_JITTER_MS * Math.min(1, intervalS);
  return { key, title, verdict: jitterMs <= limitMs ? 'good' : 'remark', reason };
}

function meanOf(steps: Tally): number | null {
  if (steps.count === 0) return null;
  const sum = steps.entries().reduce((total, [stepMs, count]) => total + stepMs * count, 0);
  return sum / steps.count;
}

function jitterOf(steps: Tally, medianMs: number, gapMs: number): number | null {
  const usual = new Map(steps.entries().filter(([stepMs]) => stepMs <= gapMs));
  const count = [...usual.values()].reduce((sum, each) => sum + each, 0);
  if (count === 0) return null;
  const squares = [...usual].reduce((sum, [stepMs, each]) => sum + each * (stepMs - medianMs) ** 2, 0);
  return Math.sqrt(squares / count);
}

/** Bars from 0 to twice the usual step, and one for all that is longer. */
function barsOf(steps: Tally, medianMs: number): Bar[] {
  const endMs = Math.max(1, 2 * medianMs);
  const widthMs = endMs / HISTOGRAM_BARS;
  const counts = new Array<number>(HISTOGRAM_BARS + 1).fill(0);
  let longestMs = endMs;
  for (const [stepMs, count] of steps.entries()) {
    longestMs = Math.max(longestMs, stepMs);
    const bar = Math.min(HISTOGRAM_BARS, Math.floor(stepMs / widthMs));
    counts[bar] = (counts[bar] as number) + count;
  }
  return counts
    .map((count, bar) => ({
      from: bar * widthMs,
      to: bar === HISTOGRAM_BARS ? Math.max(longestMs, endMs + widthMs) : (bar + 1) * widthMs,
      count,
    }))
    .filter(({ count }, bar) => bar < HISTOGRAM_BARS || count > 0);
}

function delayOf(delays: Tally): TimingPart['delayMs'] {
  const [median, p95] = [delays.percentile(50), delays.percentile(95)];
  return median === null || p95 === null ? null : { median, p95 };
}

/** Keeps the longest steps. */
class Longest {
  #kept: (Occurrence & { readonly lastsS: number })[] = [];
  #leastS = 0;

  add(lastsS: number, where: () => Occurrence): void {
    if (lastsS <= this.#leastS) return;
    this.#kept.push({ ...where(), lastsS });
    if (this.#kept.length < 2 * MOST_GAPS) return;
    this.#kept = [...this.#kept].sort((a, b) => b.lastsS - a.lastsS).slice(0, MOST_GAPS);
    this.#leastS = this.#kept.at(-1)?.lastsS as number;
  }

  /** Those above a limit, as they stand in the stream. */
  longest(aboveS: number): (Occurrence & { readonly lastsS: number })[] {
    return this.#kept
      .filter(({ lastsS }) => lastsS > aboveS)
      .sort((a, b) => b.lastsS - a.lastsS)
      .slice(0, MOST_GAPS)
      .sort((a, b) => a.line - b.line);
  }
}
