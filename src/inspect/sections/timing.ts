import { counted, number } from '../../base/words.js';
import { histogram } from '../../statistics/histogram.js';
import type { Bar, Item, TimingPart } from '../inspect-report.js';
import { LongestGaps } from '../longest-gaps.js';
import { jitterOf, type Rhythm, rhythmOf } from '../rhythm.js';
import type { Section, StreamEnd, StreamOptions } from '../section.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { StuckStamps } from '../stuck-stamps.js';
import { Tally } from '../tally.js';
import { LineLoad } from './line-load.js';
import { lasting, percent } from './words.js';

/** Steps up to here are kept to the millisecond, longer ones to the second, ms. */
const FINE_MS = 10_000;
const LONGEST_MS = 1e9;
/** A gap up to here is an epoch lost now and then; longer ones make a host time out (common practice), s. */
const SHORT_GAP_S = 3;
/** What comes from a port is bunched by less: no shorter silence at the end tells anything, ms. */
const LEAST_SILENCE_MS = 1000;
/** Share of the time that may be missing. */
const MOST_MISSING = 0.01;
/** Up to this far from it, an interval is about a second, s. */
const ABOUT_1_S = 1.05;
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
  readonly #gaps = { stamps: new LongestGaps(), arrival: new LongestGaps() };
  readonly #stuck = new StuckStamps();
  readonly #delayMs = new Tally(1);
  #epochs = 0;
  #firstS: number | null = null;
  #lastS = 0;
  /** Arrival of the last byte of the last epoch. */
  #heardMs: number | null = null;

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
    this.#heardMs = epoch.sentences.at(-1)?.piece.endMs ?? null;
    this.#load.epoch(timed);
    // A step back is none of the rhythm's business.
    if (stampStepS !== null && stampStepS >= 0) this.#step('stamps', stampStepS, timed);
    if (arrivalStepS !== null) this.#step('arrival', arrivalStepS, timed);
    if (stampStepS !== null) this.#stuck.add(stampStepS, () => this.#clock.occurrence(timed.piece, epoch));
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

  finish({ endedMs }: StreamEnd): { part: TimingPart; items: Item[] } {
    const source = this.#steps.arrival.count > 0 ? 'arrival' : this.#steps.stamps.count > 0 ? 'stamps' : null;
    const stuck = source === 'stamps' ? this.#stuck.finish() : null;
    const steps = source === null ? new Tally(1) : withoutStuck(this.#steps[source], stuck?.epochs ?? 0);
    const rhythm = source === null ? null : rhythmOf(steps, source);
    const gapMs = rhythm?.gapMs ?? Infinity;
    const gapsBySteps = steps.entries().filter(([stepMs]) => stepMs > gapMs);
    const longestMs = gapsBySteps.at(-1)?.[0] ?? null;
    const silentEndS = this.#silentEndS(endedMs, rhythm);
    const { bytesPerS, fullestBytesPerS, load, fullestLoad, items } = this.#load.finish();
    const part: TimingPart = {
      intervalS: rhythm === null ? null : rhythm.intervalMs / 1000,
      source,
      // Coarse stamps show their own steps, not those of the epochs.
      jitterMs:
        rhythm === null || source === null || (rhythm.isCoarse && source === 'stamps')
          ? null
          : jitterOf(steps, source, rhythm),
      histogram: rhythm === null ? [] : barsOf(steps, rhythm.stepMs),
      gapCount: gapsBySteps.reduce((sum, [, count]) => sum + count, silentEndS === null ? 0 : 1),
      longestGapS: longestMs === null ? silentEndS : Math.max(longestMs / 1000, silentEndS ?? 0),
      gaps: source === null ? [] : this.#gaps[source].longest(gapMs / 1000),
      silentEndS,
      stuck,
      bytesPerS,
      fullestBytesPerS,
      load,
      fullestLoad,
      delayMs: delayOf(this.#delayMs),
    };
    const usualMs = rhythm?.stepMs ?? 0;
    const missingMs = gapsBySteps.reduce((sum, [stepMs, count]) => sum + count * (stepMs - usualMs), 0);
    const missingS = missingMs / 1000 + (silentEndS ?? 0);
    const missing = missingS / Math.max(1e-3, this.#lastS - (this.#firstS ?? 0) + (silentEndS ?? 0));
    return { part, items: [...items, this.#gapItem(part, missing), jitterItem(part, rhythm?.isWandering === true)] };
  }

  /** Null: it is none that another epoch was due in. */
  #silentEndS(endedMs: number | null, rhythm: Rhythm | null): number | null {
    if (endedMs === null || this.#heardMs === null) return null;
    const silentMs = endedMs - this.#heardMs;
    const mostMs = rhythm === null ? SHORT_GAP_S * 1000 : Math.max(rhythm.gapMs, LEAST_SILENCE_MS);
    return silentMs > mostMs ? silentMs / 1000 : null;
  }

  #gapItem({ intervalS, gapCount, longestGapS, gaps, source, silentEndS, stuck }: TimingPart, missing: number): Item {
    const key = 'gaps';
    const title = 'Gaps';
    if (intervalS === null && silentEndS !== null) {
      const silence = `nothing for ${lasting(silentEndS)}, until the listening ended`;
      const reason = `${counted(this.#epochs, 'epoch')}, then ${silence}`;
      return { key, title, verdict: 'bad', reason };
    }
    if (intervalS === null || intervalS === 0) return { key, title, verdict: 'untested', reason: 'no times to tell' };
    const by = source === 'arrival' ? 'by arrival' : 'by the time stamps';
    const rate = intervalS < ABOUT_1_S ? `${number(1 / intervalS, 1)} Hz` : `one in ${number(intervalS, 2)} s`;
    const what = `${counted(this.#epochs, 'epoch')}, ${rate} ${by}`;
    const still =
      stuck === null
        ? ''
        : `; not told where the time stands still, over ${counted(stuck.epochs, 'epoch')}, line ${stuck.from.line}`;
    if (gapCount === 0 || longestGapS === null) {
      return { key, title, verdict: stuck === null ? 'good' : 'remark', reason: `${what}, none missing${still}` };
    }
    const longest = gaps.reduce<(typeof gaps)[number] | null>(
      (best, gap) => (best === null || gap.lastsS > best.lastsS ? gap : best),
      null,
    );
    const isAtEnd = silentEndS !== null && silentEndS >= (longest?.lastsS ?? 0);
    const before = longest === null ? '' : ` before line ${longest.line}`;
    const where = isAtEnd ? ' of silence until the listening ended' : before;
    const much = `${percent(Math.min(1, missing))} of the time missing`;
    const reason = `${what}; ${counted(gapCount, 'gap')}, up to ${lasting(longestGapS)}${where}, ${much}${still}`;
    const isFew = longestGapS <= SHORT_GAP_S + intervalS && missing <= MOST_MISSING;
    return { key, title, verdict: isFew ? 'remark' : 'bad', reason };
  }
}

function jitterItem({ jitterMs, source, intervalS, delayMs }: TimingPart, isWandering: boolean): Item {
  const key = 'jitter';
  const title = 'Jitter';
  if (source !== 'arrival' || jitterMs === null || intervalS === null) {
    const reason = 'a log without times of arrival does not tell';
    if (jitterMs === null || intervalS === null || !isWandering) {
      return { key, title, verdict: 'untested', reason };
    }
    const wander = `${number(jitterMs, 1)} ms r.m.s. about ${number(intervalS, 2)} s, gaps left out`;
    return {
      key,
      title,
      verdict: 'remark',
      reason: `the time stamps themselves wander: ${wander}; that of arrival is not told`,
    };
  }
  const delay = delayMs === null ? '' : `; ${delayMs.median} ms after the stamp, 95 % within ${delayMs.p95} ms`;
  const reason = `${number(jitterMs, 1)} ms r.m.s. about ${number(intervalS, 2)} s, gaps left out${delay}`;
  const limitMs = MOST_JITTER_MS * Math.min(1, intervalS);
  return { key, title, verdict: jitterMs <= limitMs ? 'good' : 'remark', reason };
}

/** Steps of the stamps, but for those that are none because the time stood still. */
function withoutStuck(steps: Tally, stuck: number): Tally {
  if (stuck === 0) return steps;
  const rest = new Tally(1);
  for (const [stepMs, count] of steps.entries()) {
    const left = stepMs === 0 ? count - stuck : count;
    if (left > 0) rest.add(stepMs, left);
  }
  return rest;
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
