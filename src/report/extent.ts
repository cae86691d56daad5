import { scaleLinear } from 'd3-scale';
import { percentile } from '../statistics/percentile.js';
import type { Area } from './drawing.js';

/** A point on level ground, m. */
export interface Level {
  readonly eastM: number;
  readonly northM: number;
}

/** A map of level ground with the same scale in both directions, north up. */
export interface LevelMap {
  /** Area of the drawing that it fills. */
  readonly area: Area;
  readonly pxPerM: number;
  /** Ground that it shows, m. */
  readonly west: number;
  readonly east: number;
  readonly south: number;
  readonly north: number;
  xOf(eastM: number): number;
  yOf(northM: number): number;
  holds(point: Level): boolean;
}

/** Bounds of points, m; null: there are none. */
export interface Bounds {
  readonly west: number;
  readonly east: number;
  readonly south: number;
  readonly north: number;
}

export function boundsOf(points: Iterable<Level>): Bounds | null {
  let [west, east, south, north] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const { eastM, northM } of points) {
    west = Math.min(west, eastM);
    east = Math.max(east, eastM);
    south = Math.min(south, northM);
    north = Math.max(north, northM);
  }
  return west <= east ? { west, east, south, north } : null;
}

/** Bounds of all but the furthest of the points, so that a few wild ones don't make the rest a dot. */
export function bulkBounds(points: readonly Level[], percent: number): Bounds | null {
  if (points.length === 0) return null;
  const east = points.map(({ eastM }) => eastM).sort((a, b) => a - b);
  const north = points.map(({ northM }) => northM).sort((a, b) => a - b);
  const rest = (100 - percent) / 2;
  return {
    west: percentile(east, rest),
    east: percentile(east, 100 - rest),
    south: percentile(north, rest),
    north: percentile(north, 100 - rest),
  };
}

/**
 * A map that holds the bounds with a margin.
 * @param leastM it shows at least so much each way
 * @param heights least and greatest height of the area, in the drawing's units
 */
export function levelMap(
  bounds: Bounds,
  box: { readonly left: number; readonly top: number; readonly right: number },
  leastM: number,
  heights: readonly [least: number, greatest: number],
): LevelMap {
  const width = box.right - box.left;
  const spanE = Math.max(leastM, (bounds.east - bounds.west) * 1.1);
  const spanN = Math.max(leastM, (bounds.north - bounds.south) * 1.1);
  const height = Math.min(heights[1], Math.max(heights[0], (width * spanN) / spanE));
  const pxPerM = Math.min(width / spanE, height / spanN);
  const midE = (bounds.west + bounds.east) / 2;
  const midN = (bounds.south + bounds.north) / 2;
  const area = { left: box.left, top: box.top, right: box.right, bottom: Math.round(box.top + height) };
  const [west, east] = [midE - width / 2 / pxPerM, midE + width / 2 / pxPerM];
  const [south, north] = [midN - height / 2 / pxPerM, midN + height / 2 / pxPerM];
  const x = scaleLinear([west, east], [area.left, area.right]);
  const y = scaleLinear([south, north], [area.bottom, area.top]);
  return {
    area,
    pxPerM,
    west,
    east,
    south,
    north,
    xOf: x,
    yOf: y,
    holds: ({ eastM, northM }) => eastM >= west && eastM <= east && northM >= south && northM <= north,
  };
}
