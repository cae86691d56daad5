import { percentile } from './percentile.js';

/** A horizontal offset, m. */
export interface Offset {
  readonly eastM: number;
  readonly northM: number;
}

/** How far positions lie from a centre. */
export interface RadialSpread {
  /** Circular error probable: radius of the circle about the centre that holds 50 %, m. */
  readonly cepM: number;
  /** Radius of the circle about the centre that holds 95 %, m. */
  readonly r95M: number;
  /** Root of the mean square distance from the centre, m. */
  readonly drmsM: number;
  /** Twice that, m: holds 95.4 to 98.2 % of normal errors, by how long their ellipse is. */
  readonly twoDrmsM: number;
  /** Largest distance from the centre, m. */
  readonly maxM: number;
}

/** Scatter of positions about their own mean: precision, whatever the offset. */
export interface HorizontalScatter extends RadialSpread {
  readonly count: number;
  /** Mean offset from where the offsets are counted, m: of offsets from a reference the mean error. */
  readonly meanEastM: number;
  readonly meanNorthM: number;
}

/** Scatter about a reference place: accuracy. */
export interface ReferenceScatter extends RadialSpread {
  readonly count: number;
  /** Mean error and its direction: east, north and the length of both, m. */
  readonly meanEastM: number;
  readonly meanNorthM: number;
  readonly offsetM: number;
}

/** Distances from a centre, summed up. */
function spreadAbout(points: readonly Offset[], eastM: number, northM: number): RadialSpread {
  const distances = points.map((point) => Math.hypot(point.eastM - eastM, point.northM - northM));
  let squares = 0;
  for (const distance of distances) squares += distance * distance;
  distances.sort((a, b) => a - b);
  const drmsM = Math.sqrt(squares / distances.length);
  return {
    cepM: percentile(distances, 50),
    r95M: percentile(distances, 95),
    drmsM,
    twoDrmsM: 2 * drmsM,
    maxM: distances.at(-1) as number,
  };
}

function meanOf(points: readonly Offset[]): { meanEastM: number; meanNorthM: number } {
  let eastM = 0;
  let northM = 0;
  for (const point of points) {
    eastM += point.eastM;
    northM += point.northM;
  }
  return { meanEastM: eastM / points.length, meanNorthM: northM / points.length };
}

/**
 * Horizontal scatter about the mean: CEP and 95 % radius by nearest rank, not from standard deviations, so that they
 * hold whatever the distribution; DRMS = sqrt(sigmaEast^2 + sigmaNorth^2), 2DRMS = 2 DRMS.
 *
 * Sources: National Research Council, "The Global Positioning System: A Shared National Asset" (1995), appendix D
 * (2 drms = 2 sqrt(sigmaN^2 + sigmaE^2), 95.5 to 98.2 % of positions; CEP: 50 % lie within it); US Departments of
 * Transportation and Defense, "Federal Radionavigation Plan", appendix A.1.2 (CEP: radius of a circle with 50 % of all
 * possible fixes; 2 drms from 95 % for a long ellipse to 98 % for a circle).
 * @param points offsets from any one place, not empty, finite
 * @throws RangeError without points
 */
export function horizontalScatter(points: readonly Offset[]): HorizontalScatter {
  const { meanEastM, meanNorthM } = meanOf(points);
  return { count: points.length, meanEastM, meanNorthM, ...spreadAbout(points, meanEastM, meanNorthM) };
}

/**
 * Horizontal errors about a reference: the same measures as {@link horizontalScatter} with the reference as the centre,
 * so that a constant offset counts, and that offset by itself.
 * @param errors offsets from the reference, not empty, finite
 * @throws RangeError without errors
 */
export function scatterAboutReference(errors: readonly Offset[]): ReferenceScatter {
  const { meanEastM, meanNorthM } = meanOf(errors);
  return {
    count: errors.length,
    meanEastM,
    meanNorthM,
    offsetM: Math.hypot(meanEastM, meanNorthM),
    ...spreadAbout(errors, 0, 0),
  };
}
