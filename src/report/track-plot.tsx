import type { JSX } from 'preact';
import { levelOffset } from '../statistics/local-offset.js';
import { Drawing, dotsPath, type LegendEntry, Path, pointPath, px, WIDTH_PX } from './drawing.js';
import { boundsOf, bulkBounds, type Level, type LevelMap, levelMap } from './extent.js';
import type { Band } from './fault-strip.js';
import { metres } from './figures.js';
import { LevelAxes, ScaleAndNorth } from './level-axes.js';
import { type Dot, pathThrough, thinByCell, thinByDistance } from './lines.js';

/** A place at a time. */
export interface TrackPoint {
  readonly tS: number;
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
}

export interface TrackPlotProps {
  readonly title: string;
  /** Where the antenna was; empty: nobody knows it. */
  readonly truth: readonly TrackPoint[];
  /** What the module reported. */
  readonly module: readonly TrackPoint[];
  /** What the host reported. */
  readonly reports: readonly TrackPoint[];
  readonly bands?: readonly Band[];
  /** Lines are parted where points lie further apart, s. */
  readonly gapS?: number;
  /** Points that lie nearer to each other than this are drawn as one; the larger, the smaller the page. */
  readonly leastPx?: number;
}

interface LocalPoint extends Level {
  readonly tS: number;
}

/** The least of ground that is shown, m: a module that stands still is not a giant knot. */
const LEAST_M = 10;
/** Reports further from the track than so many times its size are told in words and marked at the edge. */
const FAR = 1;

/** The track as it was, as the module told it and as the host did; north up, the same scale both ways. */
export function TrackPlot(props: TrackPlotProps): JSX.Element {
  const { bands = [], gapS = Number.POSITIVE_INFINITY, leastPx = 0.7 } = props;
  const origin = middleOf(props);
  const truth = localise(props.truth, origin);
  const module = localise(props.module, origin);
  const reports = localise(props.reports, origin);
  const map = mapOf(truth, module, reports);
  const outside = reports.filter((point) => !map.holds(point));
  const inside = reports.filter((point) => map.holds(point)).map((point) => dotOf(point, map));
  const clip = (points: readonly LocalPoint[]) => thinByDistance(dotsOf(points, map, gapS), leastPx);
  const ground = truth.length > 0 ? truth : module;
  return (
    <Drawing
      title={props.title}
      description={describe(props)}
      heightPx={map.area.bottom + 38}
      legend={legendOf(props)}
      note={noteOf(outside, map)}
    >
      <LevelAxes map={map} about="the middle" />
      {bands.map((band) => (
        <Path class="line fault" d={pathThrough(clip(during(ground, band)))} />
      ))}
      {truth.length > 0 && <Path class="line truth" d={pathThrough(clip(truth))} />}
      {module.length > 0 && <Path class="line module" d={pathThrough(clip(module))} />}
      <Path class="dots host" d={dotsPath(thinByCell(inside, Math.max(1.5, 2 * leastPx)))} />
      <Path class="point moment" d={edgeMarks(outside, map)} />
      <BandLabels bands={bands} ground={ground} map={map} />
      <ScaleAndNorth map={map} avoid={[...inside, ...ground.map((point) => dotOf(point, map))]} />
    </Drawing>
  );
}

function isPlace({ latitudeDeg, longitudeDeg }: TrackPoint): boolean {
  return Math.abs(latitudeDeg) <= 90 && Math.abs(longitudeDeg) <= 360;
}

/** A place on the track, half way: an average would fail at the date line. */
function middleOf({ truth, module, reports }: TrackPlotProps): TrackPoint | null {
  const points = [truth, module, reports].map((layer) => layer.filter(isPlace)).find(({ length }) => length > 0) ?? [];
  return points[Math.floor(points.length / 2)] ?? null;
}

function localise(points: readonly TrackPoint[], origin: TrackPoint | null): LocalPoint[] {
  if (origin === null) return [];
  return points.filter(isPlace).map(({ tS, latitudeDeg, longitudeDeg }) => {
    const { eastM, northM } = levelOffset(origin, { latitudeDeg, longitudeDeg });
    return { tS, eastM, northM };
  });
}

/** Shows the truth whole, and what others say as far as it does not dwarf the truth. */
function mapOf(truth: readonly LocalPoint[], module: readonly LocalPoint[], reports: readonly LocalPoint[]): LevelMap {
  const all = [...truth, ...module, ...reports];
  const core = boundsOf(truth) ?? bulkBounds(module, 96) ?? bulkBounds(reports, 90);
  const box = { left: 54, top: 24, right: WIDTH_PX - 10 };
  if (core === null) return levelMap({ westM: 0, eastM: 0, southM: 0, northM: 0 }, box, LEAST_M, [180, 420]);
  const reachM = FAR * Math.max(core.eastM - core.westM, core.northM - core.southM, 4 * LEAST_M);
  const near = all.filter(
    ({ eastM, northM }) =>
      eastM >= core.westM - reachM &&
      eastM <= core.eastM + reachM &&
      northM >= core.southM - reachM &&
      northM <= core.northM + reachM,
  );
  return levelMap(boundsOf(near) ?? core, box, LEAST_M, [180, 420]);
}

function dotOf({ eastM, northM }: Level, map: LevelMap): { x: number; y: number } {
  return { x: map.xOf(eastM), y: map.yOf(northM) };
}

function dotsOf(points: readonly LocalPoint[], map: LevelMap, gapS: number): Dot[] {
  const dots: Dot[] = [];
  let lastS = Number.NaN;
  for (const point of points) {
    if (point.tS - lastS > gapS || !map.holds(point)) dots.push(null);
    if (map.holds(point)) dots.push(dotOf(point, map));
    lastS = point.tS;
  }
  return dots;
}

function during(points: readonly LocalPoint[], { beginS, endS }: Band): LocalPoint[] {
  return points.filter(({ tS }) => tS >= beginS && tS < endS);
}

/** Crosses on the map's edge in the direction of what lies outside. */
function edgeMarks(outside: readonly Level[], { area, xOf, yOf }: LevelMap): string {
  const clamp = (value: number, low: number, high: number) => Math.min(high, Math.max(low, value));
  const marks = outside.map(({ eastM, northM }) => ({
    x: clamp(xOf(eastM), area.left + 6, area.right - 6),
    y: clamp(yOf(northM), area.top + 6, area.bottom - 6),
  }));
  return thinByCell(marks, 6)
    .map(({ x, y }) => pointPath('moment', x, y, 3.5))
    .join('');
}

/** Labels where a band begins, as far as they do not meet. */
function BandLabels(props: { bands: readonly Band[]; ground: readonly LocalPoint[]; map: LevelMap }): JSX.Element {
  const { bands, ground, map } = props;
  const taken: { x: number; y: number; width: number }[] = [];
  const labels: JSX.Element[] = [];
  for (const band of bands) {
    const first = during(ground, band)[0];
    if (first === undefined || !map.holds(first)) continue;
    const at = dotOf(first, map);
    const width = band.label.length * 8;
    const x = Math.min(at.x + 8, map.area.right - width);
    const y = Math.max(at.y - 8, map.area.top + 12);
    const meets = taken.some((other) => Math.abs(other.y - y) < 16 && x < other.x + other.width && other.x < x + width);
    if (meets) continue;
    taken.push({ x, y, width });
    labels.push(
      <text class="halo" x={px(x)} y={px(y)}>
        {band.label}
      </text>,
    );
  }
  return <g>{labels}</g>;
}

function legendOf({ truth, module, reports, bands = [] }: TrackPlotProps): LegendEntry[] {
  const legend: LegendEntry[] = [];
  if (truth.length > 0) legend.push({ label: 'truth', tone: 'truth', as: 'line' });
  if (module.length > 0) legend.push({ label: 'module', tone: 'module', as: 'line' });
  if (reports.length > 0) legend.push({ label: 'host’s reports', tone: 'host', as: 'dots' });
  if (bands.length > 0) legend.push({ label: 'fault in force', tone: 'fault', as: 'line' });
  return legend;
}

function noteOf(outside: readonly Level[], map: LevelMap): string | null {
  if (outside.length === 0) return null;
  const midEastM = (map.westM + map.eastM) / 2;
  const midNorthM = (map.southM + map.northM) / 2;
  let furthestM = 0;
  for (const { eastM, northM } of outside) {
    furthestM = Math.max(furthestM, Math.hypot(eastM - midEastM, northM - midNorthM));
  }
  const these = outside.length === 1 ? 'One report lies' : `${outside.length} reports lie`;
  return `${these} outside, up to ${metres(furthestM)} from the middle: crosses at the edge show the direction.`;
}

function describe({ truth, module, reports, bands = [] }: TrackPlotProps): string {
  const marked = bands.length > 0 ? ` Marked on it: ${bands.map(({ label }) => label).join(', ')}.` : '';
  return `Track seen from above, north up: ${truth.length} points of the truth, ${module.length} of the module, \
${reports.length} reports of the host.${marked}`;
}
