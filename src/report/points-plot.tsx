import { scaleLinear } from 'd3-scale';
import type { JSX } from 'preact';
import { BottomAxis, LeftAxis, linearTicks } from './axes.js';
import { type Area, Drawing, type LegendEntry, Path, pointPath, px, type Tone, WIDTH_PX } from './drawing.js';
import { pathThrough } from './lines.js';

/** A point, with the range in which most of what it stands for lies. */
export interface PlotPoint {
  readonly x: number;
  readonly y: number;
  readonly low?: number;
  readonly high?: number;
}

export interface PointsPlotProps {
  readonly title: string;
  readonly xLabel: string;
  readonly yLabel: string;
  readonly series: readonly { readonly label: string; readonly tone: Tone; readonly points: readonly PlotPoint[] }[];
  readonly curve?: { readonly label: string; readonly points: readonly PlotPoint[] } | null;
  /** Ends of the axes; what lies outside widens them. */
  readonly xSpan: readonly [number, number];
  readonly ySpan: readonly [number, number];
}

const AREA: Area = { left: 54, top: 24, right: WIDTH_PX - 10, bottom: 274 };

/** Points of several series, with a curve to hold them against. */
export function PointsPlot(props: PointsPlotProps): JSX.Element {
  const { title, xLabel, yLabel, series, curve = null } = props;
  const all = series.flatMap(({ points }) => points).filter(isFinitePoint);
  const x = scaleLinear(
    widened(
      props.xSpan,
      all.map((point) => point.x),
    ),
    [AREA.left, AREA.right],
  );
  const reach = all.flatMap(({ y, low = y, high = y }) => [low, high]).filter(Number.isFinite);
  const y = scaleLinear(widened(props.ySpan, reach), [AREA.bottom, AREA.top]);
  const told = series.map(({ label, points }) => `${label}, ${points.length} points`).join('; ');
  const legend: LegendEntry[] = series.map(({ label, tone }) => ({ label, tone, as: 'points' }));
  if (curve !== null) legend.push({ label: curve.label, tone: 'limit', as: 'line' });
  return (
    <Drawing
      title={title}
      description={`${yLabel} over ${xLabel}: ${told}.`}
      heightPx={AREA.bottom + 38}
      legend={legend}
    >
      <BottomAxis area={AREA} ticks={linearTicks(x, 7)} label={xLabel} />
      <LeftAxis area={AREA} ticks={linearTicks(y, 6)} label={yLabel} labelY={12} />
      {curve !== null && (
        <Path
          class="line limit"
          d={pathThrough(curve.points.filter(isFinitePoint).map((point) => ({ x: x(point.x), y: y(point.y) })))}
        />
      )}
      {series.map(({ tone, points }, index) => {
        // Series with the same abscissae stand side by side.
        const asideX = (index - (series.length - 1) / 2) * 5;
        const shown = points.filter(isFinitePoint);
        return (
          <g>
            <Path class={`whisker ${tone}`} d={shown.map((point) => whisker(point, x(point.x) + asideX, y)).join('')} />
            <Path
              class={`point ${tone}`}
              d={shown.map((point) => pointPath(tone, x(point.x) + asideX, y(point.y), 3.4)).join('')}
            />
          </g>
        );
      })}
      {all.length === 0 && (
        <text x={(AREA.left + AREA.right) / 2} y={(AREA.top + AREA.bottom) / 2} text-anchor="middle">
          no data
        </text>
      )}
    </Drawing>
  );
}

function isFinitePoint({ x, y }: PlotPoint): boolean {
  return Number.isFinite(x) && Number.isFinite(y);
}

function widened([low, high]: readonly [number, number], values: readonly number[]): [number, number] {
  let span: [number, number] = [low, high];
  for (const value of values) span = [Math.min(span[0], value), Math.max(span[1], value)];
  return span;
}

function whisker(
  { y: middle, low = middle, high = middle }: PlotPoint,
  x: number,
  y: (value: number) => number,
): string {
  return low === high || !Number.isFinite(low + high) ? '' : `M${px(x)} ${px(y(low))}V${px(y(high))}`;
}
