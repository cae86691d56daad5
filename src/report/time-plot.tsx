import { type ScaleContinuousNumeric, scaleLinear, scaleLog } from 'd3-scale';
import type { JSX } from 'preact';
import { percentile } from '../statistics/percentile.js';
import { BottomAxis, LeftAxis, linearTicks, logTicks } from './axes.js';
import { type Area, Drawing, type LegendEntry, Path, pointPath, px, type Tone, WIDTH_PX } from './drawing.js';
import { type Band, FaultStrip, layStrip } from './fault-strip.js';
import { decimal } from './figures.js';
import { type Dot, pathThrough, thinByColumn } from './lines.js';

/** A value at a time; null parts the line. */
export interface TimedValue {
  readonly tS: number;
  readonly value: number | null;
}

/** One line of a plot over time. */
export interface TimeSeries {
  readonly label: string;
  readonly tone: Tone;
  readonly points: readonly TimedValue[];
}

export interface TimePlotProps {
  readonly title: string;
  /** What the values are, with unit: `horizontal error (m)`. */
  readonly valueLabel: string;
  readonly series: readonly TimeSeries[];
  /** From where to where; else what the points span. */
  readonly spanS?: readonly [fromS: number, toS: number];
  readonly bands?: readonly Band[];
  readonly bandsLabel?: string;
  /** Moments that are marked with a cross. */
  readonly momentsS?: readonly number[];
  readonly momentsLabel?: string;
  readonly limit?: { readonly value: number; readonly label: string } | null;
  /** `auto`: logarithmic where the largest value would hide the others, and none is below zero. */
  readonly axis?: 'linear' | 'log' | 'auto';
  /** The line is parted where points lie further apart, s. */
  readonly gapS?: number;
  /** Least distance that the axis spans, so that noise does not look like a mountain. */
  readonly leastSpan?: number;
  /** Width of a column that keeps four points of a line; the larger, the smaller the page. */
  readonly columnPx?: number;
}

const LEFT_PX = 54;
const PLOT_HEIGHT_PX = 200;
/** A largest value so many times the median asks for a logarithmic axis. */
const STEEP = 40;
/** What is smaller is shown as if it were so large on a logarithmic axis. */
const LEAST_LOG = 0.1;

/** Values over time, with bands for faults, a limit and gaps where there is nothing. */
export function TimePlot(props: TimePlotProps): JSX.Element {
  const { series, bands = [], momentsS = [], columnPx = 2 } = props;
  const limit = limitOf(props);
  const finite = series.flatMap(({ points }) => points.filter(isShown));
  const [fromS, toS] = spanOf(props.spanS?.every(Number.isFinite) ? props.spanS : finite.map(({ tS }) => tS));
  const unit = timeUnit(toS - fromS);
  const x = scaleLinear([fromS, Math.max(toS, fromS + 1e-3)], [LEFT_PX, WIDTH_PX - 10]);
  const strip = layStrip(bands, { left: LEFT_PX, right: WIDTH_PX - 10 }, x);
  const top = 24 + strip.heightPx;
  const area: Area = { left: LEFT_PX, top, right: WIDTH_PX - 10, bottom: top + PLOT_HEIGHT_PX };
  const values = finite.map(({ value }) => value);
  const log = isLog(props, values);
  const y = valueScale(props, values, log, [area.bottom, area.top]);
  const timeTicks = linearTicks(
    scaleLinear(
      x.domain().map((tS) => tS / unit.s),
      x.range(),
    ),
    6,
  );
  const valueTicks = log ? logTicks(y) : linearTicks(y, 5);
  return (
    <Drawing
      title={props.title}
      description={describe(props, values)}
      heightPx={area.bottom + 38}
      legend={legendOf(props)}
      note={strip.unlabelled > 0 ? `${strip.unlabelled} more of the marked times have no room for a label.` : null}
    >
      <BottomAxis area={area} ticks={timeTicks} label={`time since the start (${unit.name})`} />
      <LeftAxis area={area} ticks={valueTicks} label={props.valueLabel} labelY={12} />
      <FaultStrip strip={strip} area={area} />
      {limit !== null && <path class="line limit" d={`M${area.left} ${px(y(limit.value))}H${area.right}`} />}
      {series.map(({ tone, points }) => (
        <Path class={`line ${tone}`} d={pathThrough(thinByColumn(dotsOf(points, props, x, y), columnPx))} />
      ))}
      {momentsS.filter(Number.isFinite).map((tS) => (
        <Path class="point moment" d={pointPath('moment', x(tS), area.top + 7, 4)} />
      ))}
      {values.length === 0 && (
        <text x={(area.left + area.right) / 2} y={(area.top + area.bottom) / 2} text-anchor="middle">
          no data
        </text>
      )}
    </Drawing>
  );
}

function isShown(point: TimedValue): point is TimedValue & { readonly value: number } {
  return point.value !== null && Number.isFinite(point.value) && Number.isFinite(point.tS);
}

function spanOf(numbers: readonly number[]): readonly [number, number] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const number of numbers) {
    if (number < low) low = number;
    if (number > high) high = number;
  }
  return low <= high ? [low, high] : [0, 1];
}

function limitOf({ limit = null }: TimePlotProps): (TimePlotProps['limit'] & object) | null {
  return limit !== null && Number.isFinite(limit.value) ? limit : null;
}

/** Seconds up to 20 min, minutes up to 5 h, then hours. */
function timeUnit(spanS: number): { readonly s: number; readonly name: string } {
  if (spanS <= 1200) return { s: 1, name: 's' };
  return spanS <= 18_000 ? { s: 60, name: 'min' } : { s: 3600, name: 'h' };
}

function isLog({ axis = 'linear' }: TimePlotProps, values: readonly number[]): boolean {
  if (axis !== 'auto') return axis === 'log';
  if (values.length === 0 || values.some((value) => value < 0)) return false;
  const sorted = [...values].sort((a, b) => a - b);
  const median = Math.max(percentile(sorted, 50), LEAST_LOG);
  return (sorted.at(-1) as number) > STEEP * median;
}

function valueScale(
  props: TimePlotProps,
  values: readonly number[],
  log: boolean,
  range: readonly [number, number],
): ScaleContinuousNumeric<number, number> {
  const limit = limitOf(props);
  const shown = limit === null ? values : [...values, limit.value];
  let [low, high] = spanOf(shown);
  if (log) {
    low = Math.max(LEAST_LOG, low);
    return scaleLog([low, Math.max(high, low * 10)], [...range])
      .nice()
      .clamp(true);
  }
  // Errors and counts start at zero; heights and offsets do not.
  if (low >= 0 && low < 0.6 * high) low = 0;
  const lacking = (props.leastSpan ?? 1e-3) - (high - low);
  if (lacking > 0) {
    high += low === 0 ? lacking : lacking / 2;
    low -= low === 0 ? 0 : lacking / 2;
  }
  return scaleLinear([low, high], [...range]).nice(5);
}

function dotsOf(
  points: readonly TimedValue[],
  props: TimePlotProps,
  x: (tS: number) => number,
  y: ScaleContinuousNumeric<number, number>,
): Dot[] {
  const [least] = y.domain() as [number, number];
  const gapS = props.gapS ?? Number.POSITIVE_INFINITY;
  const dots: Dot[] = [];
  let lastS = Number.NaN;
  for (const point of points) {
    if (!isShown(point)) {
      dots.push(null);
      continue;
    }
    if (point.tS - lastS > gapS) dots.push(null);
    dots.push({ x: x(point.tS), y: y(Math.max(point.value, least)) });
    lastS = point.tS;
  }
  return dots;
}

function legendOf({
  series,
  bands = [],
  bandsLabel,
  momentsS = [],
  momentsLabel,
  limit,
}: TimePlotProps): LegendEntry[] {
  const legend: LegendEntry[] = series.map(({ label, tone }) => ({ label, tone, as: 'line' }));
  if (limit) legend.push({ label: limit.label, tone: 'limit', as: 'line' });
  if (bands.length > 0) legend.push({ label: bandsLabel ?? 'fault in force', tone: 'fault', as: 'band' });
  if (momentsS.length > 0) legend.push({ label: momentsLabel ?? 'failed', tone: 'moment', as: 'points' });
  return legend;
}

function describe({ valueLabel, series, bands = [] }: TimePlotProps, values: readonly number[]): string {
  const names = series.map(({ label }) => label).join(', ');
  if (values.length === 0) return `${valueLabel} over time: no data.`;
  const [low, high] = spanOf(values);
  const marked = bands.length > 0 ? ` Marked: ${bands.map(({ label }) => label).join(', ')}.` : '';
  return `${valueLabel} over time, ${names}: from ${decimal(low, 2)} to ${decimal(high, 2)}.${marked}`;
}
