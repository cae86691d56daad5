import { scaleLinear } from 'd3-scale';
import type { JSX } from 'preact';
import { BottomAxis, LeftAxis, linearTicks } from './axes.js';
import { px } from './drawing.js';
import type { LevelMap } from './extent.js';
import { decimal } from './figures.js';

/** From where on kilometres are told, m. */
const KM_FROM_M = 5000;

/** Axes east and north of a map, in metres or kilometres. */
export function LevelAxes({ map, about }: { readonly map: LevelMap; readonly about: string }): JSX.Element {
  const { area, westM, eastM, southM, northM } = map;
  const unit = Math.max(eastM - westM, northM - southM) > KM_FROM_M ? { m: 1000, name: 'km' } : { m: 1, name: 'm' };
  const x = scaleLinear([westM / unit.m, eastM / unit.m], [area.left, area.right]);
  const y = scaleLinear([southM / unit.m, northM / unit.m], [area.bottom, area.top]);
  return (
    <>
      <BottomAxis area={area} ticks={linearTicks(x, 6)} label={`east of ${about} (${unit.name})`} />
      <LeftAxis area={area} ticks={linearTicks(y, 5)} label={`north (${unit.name})`} labelY={12} />
    </>
  );
}

/** A round length of about a quarter of the map's width: 1, 2 or 5 times a power of ten, m. */
function roundLengthM(aboutM: number): number {
  const power = 10 ** Math.floor(Math.log10(aboutM));
  const factor = [5, 2, 1].find((candidate) => candidate * power <= aboutM) ?? 1;
  return factor * power;
}

/** A bar with its length, in the lower corner that is emptier, and an arrow to the north in the upper right one. */
export function ScaleAndNorth(props: {
  readonly map: LevelMap;
  /** What is drawn, in the drawing's units. */
  readonly avoid: readonly { readonly x: number; readonly y: number }[];
}): JSX.Element {
  const { area, pxPerM } = props.map;
  const lengthM = roundLengthM((area.right - area.left) / 4 / pxPerM);
  const lengthPx = lengthM * pxPerM;
  const meets = (from: number) =>
    props.avoid.filter(({ x, y }) => y > area.bottom - 40 && x > from - 10 && x < from + lengthPx + 10).length;
  const [atRight, atLeft] = [area.right - 10 - lengthPx, area.left + 14];
  const left = px(meets(atLeft) < meets(atRight) ? atLeft : atRight);
  const right = px(left + lengthPx);
  const corner = area.right - 10;
  const y = area.bottom - 10;
  const text = lengthM >= 1000 ? `${decimal(lengthM / 1000, 0)} km` : `${decimal(lengthM, lengthM < 1 ? 2 : 0)} m`;
  return (
    <g>
      <path class="scale" d={`M${left} ${y - 5}V${y}H${right}V${y - 5}`} />
      <text class="halo" x={px((left + right) / 2)} y={y - 7} text-anchor="middle">
        {text}
      </text>
      <path class="scale" d={`M${corner} ${area.top - 2}V${area.top - 20}m-4 6 4-6 4 6`} />
      <text x={corner - 9} y={area.top - 7} text-anchor="end">
        N
      </text>
    </g>
  );
}
