import type { JSX } from 'preact';
import { type Area, px } from './drawing.js';

/** A time in which something was in force: a fault, or other surroundings. */
export interface Band {
  /** Short: it stands in the drawing. */
  readonly label: string;
  readonly beginS: number;
  readonly endS: number;
}

/** Height of a lane of the strip. */
const LANE_PX = 17;
/** More lanes than these would take the room of the plot. */
const MOST_LANES = 4;
/** Width of a character, of the larger type of narrow screens. */
const CHARACTER_PX = 8;
const GAP_PX = 6;

/** A band with its lane, and where its label begins. */
interface Placed extends Band {
  readonly lane: number;
  readonly x0: number;
  readonly x1: number;
  readonly labelX: number;
}

/** Bands put into lanes so that neither bars nor labels meet; those for which no lane is left have no label. */
export interface Strip {
  readonly placed: readonly Placed[];
  readonly heightPx: number;
  readonly unlabelled: number;
  readonly bands: readonly { readonly x0: number; readonly x1: number }[];
}

/**
 * Lays bands out above a plot.
 * @param xOf from seconds to the drawing's units
 */
export function layStrip(
  bands: readonly Band[],
  area: { left: number; right: number },
  xOf: (tS: number) => number,
): Strip {
  const clamp = (x: number) => Math.min(area.right, Math.max(area.left, x));
  const inside = bands
    .map((band) => ({ ...band, x0: clamp(xOf(band.beginS)), x1: clamp(xOf(band.endS)) }))
    .filter(({ x0, x1 }) => Number.isFinite(x0) && Number.isFinite(x1))
    .map((band) => ({ ...band, x1: Math.max(band.x1, band.x0 + 1.5) }));
  const ends: number[] = [];
  const placed: Placed[] = [];
  for (const band of [...inside].sort((a, b) => a.x0 - b.x0)) {
    const width = band.label.length * CHARACTER_PX;
    const labelX = Math.max(area.left, Math.min(band.x0, area.right - width));
    const lane = ends.findIndex((end) => end + GAP_PX <= labelX);
    const place = lane >= 0 ? lane : ends.length;
    if (place >= MOST_LANES) continue;
    ends[place] = Math.max(band.x1, labelX + width);
    placed.push({ ...band, lane: place, labelX });
  }
  return { placed, heightPx: ends.length * LANE_PX, unlabelled: inside.length - placed.length, bands: inside };
}

/** The bands: washed over the plot, and as bars with labels above it. */
export function FaultStrip({ strip, area }: { readonly strip: Strip; readonly area: Area }): JSX.Element {
  return (
    <g>
      {strip.bands.map(({ x0, x1 }) => (
        <rect class="band fault" x={px(x0)} y={area.top} width={px(x1 - x0)} height={area.bottom - area.top} />
      ))}
      {strip.placed.map(({ x0, x1, labelX, lane, label }) => {
        const bottom = area.top - 3 - lane * LANE_PX;
        return (
          <g>
            <rect class="strip" x={px(x0)} y={bottom - 3} width={px(x1 - x0)} height="3" />
            <text x={px(labelX)} y={bottom - 5}>
              {label}
            </text>
          </g>
        );
      })}
    </g>
  );
}
