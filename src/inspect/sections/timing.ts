import { counted, number } from '../../base/words.js';
import { histogram } from '../../statistics/histogram.js';
import type { Bar, Item, Occurrence, TimingPart } from '../inspect-report.js';
import type { Section, StreamOptions } from '../section.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { Tally } from '../tally.js';
import { LineLoad } from './line-load.js';
import { lasting, percent } from './words.js';

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
/** Where more of the steps than this share are none, several epochs have one stamp. */
const COARSE_SHARE = 0.2;
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
    const rhythm = rhythmOf(steps);
    const gapMs = rhythm?.gapMs ?? Infinity;
    const gapsBySteps = steps.entries().filter(([stepMs]) => stepMs > gapMs);
    const longestMs = gapsBySteps.at(-1)?.[0] ?? null;
    const { bytesPerS, fullestBytesPerS, load, fullestLoad, items } = this.#load.finish();
    const part: TimingPart = {
      intervalS: rhythm === null ? null : rhythm.intervalMs / 1000,
      source,
      // Coarse stamps show their own steps, not those of the epochs.
      jitterMs: rhythm === null || (rhythm.isCoarse && source === 'stamps') ? null : jitterOf(steps, rhythm),
      histogram: rhythm === null ? [] : barsOf(steps, rhythm.stepMs),
      gapCount: gapsBySteps.reduce((sum, [, count]) => sum + count, 0),
      longestGapS: longestMs === null ? null : longestMs / 1000,
      gaps: source === null ? [] : this.#gaps[source].longest(gapMs / 1000),
      bytesPerS,
      fullestBytesPerS,
      load,
      fullestLoad,
      delayMs: delayOf(this.#delayMs),
    };
    const usualMs = rhythm?.stepMs ?? 0;
    const missingMs = gapsBySteps.reduce((sum, [stepMs, count]) => sum + count * (stepMs - usualMs), 0);
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
  const reason = `${number(jitterMs, 1)} ms r.m.s. about ${number(intervalS, 2)} s, gaps left out${delay}`;
  const limitMs = MOST_JITTER_MS * Math.min(1, intervalS);
  return { key, title, verdict: jitterMs <= limitMs ? 'good' : 'remark', reason };
}

/** What is usual from epoch to epoch. */
interface Rhythm {
  /** From one epoch to the next, ms. */
  readonly intervalMs: number;
  /** The usual step; where several epochs have one stamp, of those steps that are any, ms. */
  readonly stepMs: number;
  /** A longer step is a gap, ms. */
  readonly gapMs: number;
  /** Whether several epochs have one stamp: whole seconds at 5 Hz. */
  readonly isCoarse: boolean;
}

/** @returns null: there are no steps, or none that is longer than nothing */
function rhythmOf(steps: Tally): Rhythm | null {
  const entries = steps.entries();
  const same = entries.find(([stepMs]) => stepMs === 0)?.[1] ?? 0;
  const isCoarse = same > COARSE_SHARE * steps.count;
  const some = new Tally(1);
  for (const [stepMs, count] of entries) if (stepMs > 0 || !isCoarse) some.add(stepMs, count);
  const stepMs = some.percentile(50);
  if (stepMs === null || stepMs === 0) return null;
  const gapMs = stepMs * GAP_STEPS;
  const usual = entries.filter(([each]) => each <= gapMs);
  const count = usual.reduce((sum, [, each]) => sum + each, 0);
  const meanMs = usual.reduce((sum, [each, times]) => sum + each * times, 0) / count;
  return { intervalMs: isCoarse ? meanMs : stepMs, stepMs, gapMs, isCoarse };
}

function jitterOf(steps: Tally, { intervalMs, gapMs }: Rhythm): number | null {
  const usual = steps.entries().filter(([stepMs]) => stepMs <= gapMs);
  const count = usual.reduce((sum, [, each]) => sum + each, 0);
  if (count === 0) return null;
  const squares = usual.reduce((sum, [stepMs, each]) => sum + each * (stepMs - intervalMs) ** 2, 0);
  return Math.sqrt(squares / count);
}

/** Bars from 0 to twice the usual step, and one for all that is longer. */
function barsOf(steps: Tally, stepMs: number): readonly Bar[] {
  const endMs = Math.max(1, 2 * stepMs);
  const { bins, above } = histogram(steps.entries(), { from: 0, to: endMs, bins: HISTOGRAM_BARS });
  if (above === 0) return bins;
  const longestMs = steps.percentile(100) ?? endMs;
  return [...bins, { from: endMs, to: Math.max(longestMs, endMs + endMs / HISTOGRAM_BARS), count: above }];
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
