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
  readonly westM: number;
  readonly eastM: number;
  readonly southM: number;
  readonly northM: number;
  xOf(eastM: number): number;
  yOf(northM: number): number;
  holds(point: Level): boolean;
}

/** Bounds of points, m; null: there are none. */
export interface Bounds {
  readonly westM: number;
  readonly eastM: number;
  readonly southM: number;
  readonly northM: number;
}

export function boundsOf(points: Iterable<Level>): Bounds | null {
  let [westM, eastM, southM, northM] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const point of points) {
    westM = Math.min(westM, point.eastM);
    eastM = Math.max(eastM, point.eastM);
    southM = Math.min(southM, point.northM);
    northM = Math.max(northM, point.northM);
  }
  return westM <= eastM ? { westM, eastM, southM, northM } : null;
}

/** Bounds of all but the furthest of the points, so that a few wild ones don't make the rest a dot. */
export function bulkBounds(points: readonly Level[], percent: number): Bounds | null {
  if (points.length === 0) return null;
  const eastsM = points.map(({ eastM }) => eastM).sort((a, b) => a - b);
  const northsM = points.map(({ northM }) => northM).sort((a, b) => a - b);
  const rest = (100 - percent) / 2;
  return {
    westM: percentile(eastsM, rest),
    eastM: percentile(eastsM, 100 - rest),
    southM: percentile(northsM, rest),
    northM: percentile(northsM, 100 - rest),
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
  const spanEastM = Math.max(leastM, (bounds.eastM - bounds.westM) * 1.1);
  const spanNorthM = Math.max(leastM, (bounds.northM - bounds.southM) * 1.1);
  const height = Math.min(heights[1], Math.max(heights[0], (width * spanNorthM) / spanEastM));
  const pxPerM = Math.min(width / spanEastM, height / spanNorthM);
  const midEastM = (bounds.westM + bounds.eastM) / 2;
  const midNorthM = (bounds.southM + bounds.northM) / 2;
  const area = { left: box.left, top: box.top, right: box.right, bottom: Math.round(box.top + height) };
  const [westM, eastM] = [midEastM - width / 2 / pxPerM, midEastM + width / 2 / pxPerM];
  const [southM, northM] = [midNorthM - height / 2 / pxPerM, midNorthM + height / 2 / pxPerM];
  const x = scaleLinear([westM, eastM], [area.left, area.right]);
  const y = scaleLinear([southM, northM], [area.bottom, area.top]);
  return {
    area,
    pxPerM,
    westM,
    eastM,
    southM,
    northM,
    xOf: x,
    yOf: y,
    holds: (at) => at.eastM >= westM && at.eastM <= eastM && at.northM >= southM && at.northM <= northM,
  };
}
