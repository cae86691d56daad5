import { scaleLinear } from 'd3-scale';
import type { JSX } from 'preact';
import { BottomAxis, LeftAxis, linearTicks } from './axes.js';
import { type Area, Drawing, px, WIDTH_PX } from './drawing.js';
import { count, decimal } from './figures.js';

export interface BarsProps {
  readonly title: string;
  /** What is counted by, with unit: `interval (ms)`. */
  readonly xLabel: string;
  readonly yLabel: string;
  /** Classes, in order. */
  readonly bars: readonly { readonly from: number; readonly to: number; readonly count: number }[];
  /** Counts that lie outside the classes. */
  readonly below?: number;
  readonly above?: number;
}

const AREA: Area = { left: 54, top: 24, right: WIDTH_PX - 10, bottom: 204 };

/** A histogram. Whatever was met at all shows: a bar is never lower than a line. */
export function Bars(props: BarsProps): JSX.Element {
  const { title, xLabel, yLabel, below = 0, above = 0 } = props;
  const bars = props.bars.filter((bar) => Number.isFinite(bar.from + bar.to + bar.count));
  const from = bars[0]?.from ?? 0;
  const to = bars.at(-1)?.to ?? 1;
  const total = bars.reduce((sum, bar) => sum + bar.count, 0);
  const most = bars.reduce((high, bar) => Math.max(high, bar.count), 0);
  const x = scaleLinear([from, to > from ? to : from + 1], [AREA.left, AREA.right]);
  const y = scaleLinear([0, Math.max(1, most)], [AREA.bottom, AREA.top]).nice(5);
  const outside = [below > 0 ? `${count(below)} lie below` : '', above > 0 ? `${count(above)} lie above` : ''];
  const range = `${decimal(from, 1)} to ${decimal(to, 1)}`;
  const note = outside.filter((part) => part !== '').join(', ');
  return (
    <Drawing
      title={title}
      description={`${yLabel} by ${xLabel}: ${count(total)} in ${bars.length} classes from ${range}.`}
      heightPx={AREA.bottom + 38}
      note={note === '' ? null : `${note} what is shown.`}
    >
      <BottomAxis area={AREA} ticks={linearTicks(x, 6)} label={xLabel} />
      <LeftAxis
        area={AREA}
        ticks={linearTicks(y, 5).filter(({ text }) => !text.includes('.'))}
        label={yLabel}
        labelY={12}
      />
      {bars
        .filter((bar) => bar.count > 0)
        .map((bar) => {
          const height = Math.max(1.5, AREA.bottom - y(bar.count));
          const left = x(bar.from);
          return (
            <rect
              class="bar"
              x={px(left + 0.5)}
              y={px(AREA.bottom - height)}
              width={px(Math.max(1, x(bar.to) - left - 1))}
              height={px(height)}
            >
              <title>{`${decimal(bar.from, 1)} to ${decimal(bar.to, 1)}: ${count(bar.count)}`}</title>
            </rect>
          );
        })}
    </Drawing>
  );
}
