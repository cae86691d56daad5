import geomagnetism from 'geomagnetism';
import { DEG_PER_RAD } from '../base/constants.js';
import { dayNumberOf } from '../base/time.js';

/** Years in which WMM2025 holds (NOAA/NCEI and BGS, The US/UK World Magnetic Model for 2025-2030). */
const FIRST_YEAR = 2025;
const END_YEAR = 2030;
/** The model is linear in time: it is asked at its first year and at this one, which the library takes too. */
const LATER_YEAR = 2029;

/** Side of a cell of latitude and longitude, deg, and of height, m. */
const CELL_DEG = 0.1;
const CELL_M = 200;

type Model = ReturnType<typeof geomagnetism.model>;

/** North and east components of the field at a corner of a cell: in the first year, nT, and their rates, nT/year. */
interface Corner {
  readonly northNt: number;
  readonly eastNt: number;
  readonly northRate: number;
  readonly eastRate: number;
}

interface Cell {
  readonly row: number;
  readonly column: number;
  readonly layer: number;
  /** South-west, south-east, north-west, north-east. */
  readonly corners: readonly [Corner, Corner, Corner, Corner];
}

let models: readonly [first: Model, later: Model] | null = null;
/** The cell looked up last. What is returned depends on the place alone, not on what was asked before. */
let last: Cell | null = null;

/**
 * Magnetic variation (declination) by WMM2025, east positive, deg in (-180, 180].
 * Method: the field's horizontal components are interpolated bilinearly in cells of 0.1 deg, at the nearest 200 m of
 * height; within 0.01 deg of the model where the horizontal field exceeds 2000 nT (else compasses are no use). Some
 * 40 us where a new cell is entered, else below 1 us.
 * @param heightM above the ellipsoid
 * @param decimalYear 2026.5 is the middle of 2026
 * @returns null outside 2025.0 to 2030.0, for which the model holds
 * Source: NOAA/NCEI and BGS, World Magnetic Model 2025
 */
export function magneticVariationDeg(
  latitudeDeg: number,
  longitudeDeg: number,
  heightM: number,
  decimalYear: number,
): number | null {
  if (!(decimalYear >= FIRST_YEAR && decimalYear <= END_YEAR)) return null;
  const rows = latitudeDeg / CELL_DEG;
  const columns = longitudeDeg / CELL_DEG;
  // The northernmost row has the pole for its upper edge.
  const row = Math.min(Math.floor(rows), Math.round(90 / CELL_DEG) - 1);
  const column = Math.floor(columns);
  const layer = Math.round(heightM / CELL_M);
  if (last === null || last.row !== row || last.column !== column || last.layer !== layer) {
    last = cellAt(row, column, layer);
  }
  const up = rows - row;
  const right = columns - column;
  const years = decimalYear - FIRST_YEAR;
  const [southWest, southEast, northWest, northEast] = last.corners;
  let northNt = 0;
  let eastNt = 0;
  const add = ({ northNt: north, eastNt: east, northRate, eastRate }: Corner, weight: number) => {
    northNt += weight * (north + years * northRate);
    eastNt += weight * (east + years * eastRate);
  };
  add(southWest, (1 - up) * (1 - right));
  add(southEast, (1 - up) * right);
  add(northWest, up * (1 - right));
  add(northEast, up * right);
  const variationDeg = Math.atan2(eastNt, northNt) * DEG_PER_RAD;
  return Number.isFinite(variationDeg) ? variationDeg : null;
}

function cellAt(row: number, column: number, layer: number): Cell {
  const corner = (up: number, right: number) =>
    cornerAt((row + up) * CELL_DEG, (column + right) * CELL_DEG, (layer * CELL_M) / 1000);
  return { row, column, layer, corners: [corner(0, 0), corner(0, 1), corner(1, 0), corner(1, 1)] };
}

function cornerAt(latitudeDeg: number, longitudeDeg: number, heightKm: number): Corner {
  models ??= [modelOf(FIRST_YEAR), modelOf(LATER_YEAR)];
  const first = models[0].point([latitudeDeg, longitudeDeg, heightKm]);
  const later = models[1].point([latitudeDeg, longitudeDeg, heightKm]);
  const years = LATER_YEAR - FIRST_YEAR;
  return {
    northNt: first.x,
    eastNt: first.y,
    northRate: (later.x - first.x) / years,
    eastRate: (later.y - first.y) / years,
  };
}

/** The model at the beginning of a year. The library wants a date of the language, and asks it these three things. */
function modelOf(year: number): Model {
  const ms = dayNumberOf(year, 1, 1) * 86_400_000;
  const date = { getTime: () => ms, valueOf: () => ms, getUTCFullYear: () => year };
  return geomagnetism.model(date as unknown as Parameters<typeof geomagnetism.model>[0]);
}
