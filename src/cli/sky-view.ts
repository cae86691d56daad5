import type { ChannelState, SatelliteTruth } from '../sim/epoch.js';
import type { PlayedEpoch } from '../truth/recorded-epoch.js';
import { Canvas, type Paint } from './canvas.js';
import { PAINTS } from './colours.js';
import { type ShownSatellite, shownSatellites } from './shown-satellites.js';

/** How much room there is, and what stands above and below the picture. */
export interface SkyViewOptions {
  readonly columns: number;
  readonly rows: number;
  /** One line. */
  readonly head: string;
  readonly foot: readonly string[];
}

/** Rows from the zenith to the horizon, least and most. */
const LEAST_RADIUS = 4;
const MOST_RADIUS = 16;
/** A character is about twice as high as wide. */
const COLUMNS_A_ROW = 2;
/** Between the sky and the diagram, and on the left of its axis. */
const GAP = 3;
const SCALE_COLUMNS = 4;
/** The diagram's columns, least and most. */
const LEAST_WIDTH = 20;
const MOST_WIDTH = 64;
/** C/N0 at the diagram's lower and upper edge, dB-Hz. */
const LOWEST_DB_HZ = 10;
const HIGHEST_DB_HZ = 55;
/** Lines at these, dB-Hz and deg. */
const CN0_MARKS = [20, 30, 40, 50];
const ELEVATION_MARKS = [0, 30, 60, 90];
/** Rows that are taken by the head, the titles, the axis and the legend. */
const FIXED_ROWS = 4;

/** What stands for a satellite, by what the receiver does with it; later ones are drawn over earlier ones. */
const MARKS: ReadonlyArray<{ state: ChannelState; mark: string; word: string; paint: Paint }> = [
  { state: 'hidden', mark: 'x', word: 'hidden', paint: PAINTS.dim },
  { state: 'searching', mark: '?', word: 'searched for', paint: PAINTS.yellow },
  { state: 'tracking', mark: 'o', word: 'tracked', paint: PAINTS.cyan },
  { state: 'used', mark: '#', word: 'used', paint: PAINTS.green },
];

/** Where the picture of the sky stands. */
interface Dome {
  readonly column: number;
  readonly row: number;
  readonly radius: number;
}

/** Where the diagram stands. */
interface Diagram {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/**
 * The sky in characters: on the left where the satellites stand, north up and the zenith in the middle, on the right
 * C/N0 against elevation of all signals that are tracked. Marks tell what the receiver does with each satellite.
 * @returns null where there is too little room
 */
export function skyView(epoch: PlayedEpoch, { columns, rows, head, foot }: SkyViewOptions): Canvas | null {
  const free = rows - FIXED_ROWS - foot.length;
  const wide = columns - GAP - SCALE_COLUMNS - LEAST_WIDTH;
  const radius = Math.min(
    MOST_RADIUS,
    Math.floor((free - 1) / 2),
    Math.floor((wide - 1) / (2 * COLUMNS_A_ROW)),
    // A wide terminal is shared between the two.
    Math.max(LEAST_RADIUS, Math.floor(columns / 8)),
  );
  if (radius < LEAST_RADIUS) return null;
  const satellites = shownSatellites(epoch);
  const canvas = new Canvas(columns, rows);
  canvas.put(0, 0, head.slice(0, columns), PAINTS.bold);
  const dome = { column: COLUMNS_A_ROW * radius, row: 2 + radius, radius };
  const left = 2 * COLUMNS_A_ROW * radius + 1 + GAP + SCALE_COLUMNS;
  const width = Math.min(MOST_WIDTH, columns - left);
  const diagram = { left, top: 2, width, height: 2 * radius + 1 };
  canvas.put(0, 1, 'Sky (north up)');
  canvas.put(left - SCALE_COLUMNS, 1, 'C/N0 in dB-Hz against elevation in deg');
  drawDome(canvas, dome);
  drawAxes(canvas, diagram);
  for (const { state, mark, paint } of MARKS) {
    for (const satellite of satellites) {
      if (satellite.state !== state) continue;
      placeOnDiagram(canvas, diagram, satellite, mark, paint);
      const [column, row] = skyPlace(dome, satellite);
      canvas.put(column, row, mark, paint);
    }
  }
  for (const { state, paint } of [...MARKS].reverse()) {
    for (const satellite of satellites) if (satellite.state === state) label(canvas, dome, satellite, paint);
  }
  const below = 3 + 2 * radius + 1;
  canvas.put(0, below, legend(satellites));
  for (const [index, line] of foot.entries()) canvas.put(0, below + 1 + index, line);
  return canvas;
}

/** Where a satellite stands: the distance from the middle grows with the angle from the zenith. */
export function skyPlace(
  { column, row, radius }: Dome,
  { azimuthDeg, elevationDeg }: Pick<SatelliteTruth, 'azimuthDeg' | 'elevationDeg'>,
): readonly [column: number, row: number] {
  const distance = (radius * (90 - Math.max(0, elevationDeg))) / 90;
  const azimuthRad = (azimuthDeg * Math.PI) / 180;
  return [
    Math.round(column + COLUMNS_A_ROW * distance * Math.sin(azimuthRad)),
    Math.round(row - distance * Math.cos(azimuthRad)),
  ];
}

/** The horizon and two circles of equal elevation, and the points of the compass. */
function drawDome(canvas: Canvas, dome: Dome): void {
  for (const elevationDeg of [60, 30, 0]) {
    for (let azimuthDeg = 0; azimuthDeg < 360; azimuthDeg += elevationDeg === 0 ? 3 : 10) {
      const [column, row] = skyPlace(dome, { azimuthDeg, elevationDeg });
      canvas.put(column, row, '.', PAINTS.dim);
    }
  }
  for (const [index, letter] of ['N', 'E', 'S', 'W'].entries()) {
    const [column, row] = skyPlace(dome, { azimuthDeg: 90 * index, elevationDeg: 0 });
    canvas.put(column, row, letter, PAINTS.bold);
  }
  canvas.put(dome.column, dome.row, '+', PAINTS.dim);
}

/** A satellite's name beside its mark, where there is room for it. */
function label(canvas: Canvas, dome: Dome, satellite: ShownSatellite, paint: Paint): void {
  const [column, row] = skyPlace(dome, satellite);
  const { id } = satellite;
  for (const from of [column + 1, column - id.length]) {
    const isFree = [...id].every((_, index) => canvas.isFree(from + index, row, ' .+'));
    const isInside = from + id.length <= 2 * COLUMNS_A_ROW * dome.radius + 1 + GAP - 1;
    if (!isFree || !isInside) continue;
    canvas.put(from, row, id, paint);
    return;
  }
}

function drawAxes(canvas: Canvas, diagram: Diagram): void {
  const { left, top, width, height } = diagram;
  for (let row = 0; row < height; row++) canvas.put(left - 1, top + row, '|', PAINTS.dim);
  for (const cn0DbHz of CN0_MARKS) {
    const row = cn0Row(diagram, cn0DbHz);
    canvas.put(left - SCALE_COLUMNS, row, String(cn0DbHz).padStart(SCALE_COLUMNS - 1));
    for (let column = 0; column < width; column += 3) canvas.put(left + column, row, '.', PAINTS.dim);
  }
  for (const elevationDeg of ELEVATION_MARKS) {
    const text = String(elevationDeg);
    const column = elevationColumn(diagram, elevationDeg);
    canvas.put(Math.min(column, left + width - text.length), top + height, text);
  }
}

/** Every signal of a satellite that is tracked. */
function placeOnDiagram(
  canvas: Canvas,
  diagram: Diagram,
  { elevationDeg, signals, state }: ShownSatellite,
  mark: string,
  paint: Paint,
): void {
  if (state !== 'used' && state !== 'tracking') return;
  for (const { cn0DbHz } of Object.values(signals)) {
    if (cn0DbHz === null) continue;
    canvas.put(elevationColumn(diagram, elevationDeg), cn0Row(diagram, cn0DbHz), mark, paint);
  }
}

function elevationColumn({ left, width }: Diagram, elevationDeg: number): number {
  return left + Math.round((elevationDeg / 90) * (width - 1));
}

function cn0Row({ top, height }: Diagram, cn0DbHz: number): number {
  const share = (cn0DbHz - LOWEST_DB_HZ) / (HIGHEST_DB_HZ - LOWEST_DB_HZ);
  return top + Math.round((1 - Math.min(1, Math.max(0, share))) * (height - 1));
}

function legend(satellites: readonly ShownSatellite[]): string {
  const count = (wanted: ChannelState) => satellites.filter(({ state }) => state === wanted).length;
  return [...MARKS]
    .reverse()
    .map(({ state, mark, word }) => `${mark} ${word} ${count(state)}`)
    .join('   ');
}
