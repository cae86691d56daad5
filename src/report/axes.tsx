import type { ScaleContinuousNumeric } from 'd3-scale';
import type { JSX } from 'preact';
import { type Area, Path, px } from './drawing.js';
import { decimal, tick } from './figures.js';

/** A place on an axis, in the drawing's units, and what stands there; empty: a line without a number. */
export interface Tick {
  readonly at: number;
  readonly text: string;
}

type Scale = ScaleContinuousNumeric<number, number>;

/** About so many round numbers along an axis. */
export function linearTicks(scale: Scale, about: number): Tick[] {
  const values = scale.ticks(about);
  const step = values.length > 1 ? Math.abs((values[1] as number) - (values[0] as number)) : 1;
  return values.map((value) => ({ at: scale(value), text: tick(value, step) }));
}

/** Powers of ten along a logarithmic axis, with 2 and 5 between them where there is room. */
export function logTicks(scale: Scale): Tick[] {
  const [low, high] = scale.domain() as [number, number];
  const first = Math.floor(Math.log10(low));
  const last = Math.ceil(Math.log10(high));
  const decades = last - first;
  const every = Math.max(1, Math.ceil(decades / 6));
  const ticks: Tick[] = [];
  for (let power = first; power <= last; power++) {
    for (const factor of [1, 2, 5]) {
      const value = factor * 10 ** power;
      if (value < low * 0.999 || value > high * 1.001 || (factor > 1 && decades > 4)) continue;
      const isNamed = factor === 1 ? power % every === 0 : decades <= 2;
      ticks.push({ at: scale(value), text: isNamed ? decimal(value, Math.max(0, -power)) : '' });
    }
  }
  return ticks;
}

/** The lower edge with numbers, the lines up from them, and what they are, with unit. */
export function BottomAxis(props: {
  readonly area: Area;
  readonly ticks: readonly Tick[];
  readonly label: string;
}): JSX.Element {
  const { area, ticks, label } = props;
  return (
    <g class="axis">
      <Path class="grid" d={ticks.map(({ at }) => `M${px(at)} ${area.top}V${area.bottom}`).join('')} />
      <path d={`M${area.left} ${area.bottom}H${area.right}`} />
      {ticks.map(({ at, text }) => (
        <text x={px(at)} y={area.bottom + 15} text-anchor="middle">
          {text}
        </text>
      ))}
      <text class="label" x={area.right} y={area.bottom + 32} text-anchor="end">
        {label}
      </text>
    </g>
  );
}

/** The left edge with numbers, the lines from them, and above it what they are, with unit. */
export function LeftAxis(props: {
  readonly area: Area;
  readonly ticks: readonly Tick[];
  readonly label: string;
  /** Height of the label's base line; else just above the area. */
  readonly labelY?: number;
}): JSX.Element {
  const { area, ticks, label, labelY } = props;
  return (
    <g class="axis">
      <Path class="grid" d={ticks.map(({ at }) => `M${area.left} ${px(at)}H${area.right}`).join('')} />
      <path d={`M${area.left} ${area.top}V${area.bottom}`} />
      {ticks.map(({ at, text }) => (
        <text x={area.left - 6} y={px(at) + 4} text-anchor="end">
          {text}
        </text>
      ))}
      <text class="label" x="2" y={labelY ?? area.top - 10}>
        {label}
      </text>
    </g>
  );
}
