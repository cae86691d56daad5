import { geoidSeparationM } from '../../sim/geoid.js';
import { distanceM, type Place } from '../../statistics/distance-m.js';
import { driftOf } from '../../statistics/drift-of.js';
import { horizontalScatter, scatterAboutReference } from '../../statistics/horizontal-scatter.js';
import { localOffset } from '../../statistics/local-offset.js';
import { ThinnedSeries } from '../../statistics/thinned-series.js';
import { verticalScatter } from '../../statistics/vertical-scatter.js';
import type { Item, PositionPart, PositionPoint } from '../inspect-report.js';
import type { Section, StreamOptions } from '../section.js';
import type { TimedEpoch } from '../stream-clock.js';
import { Tally } from '../tally.js';
import { positionItems } from './position-items.js';

/** Positions that the statistics are worked out of: of longer streams every second, fourth, … */
const MOST_COUNTED = 32_768;
/** Points that a page draws. */
const MOST_DRAWN = 2000;
/** A receiver at rest reads less than this, m/s. */
const REST_MPS = 1;
/** It moves where more than this share of its speeds are above, or where it gets about by more than so many metres. */
const MOVING_SHARE = 0.05;
const MOVING_M = 100;
/** The separation is looked up every so many metres: EGM96 changes by centimetres there. */
const GEOID_EVERY_M = 1000;

interface Origin extends Place {
  readonly heightM: number;
}

/** Position about the reference, or about the mean where none is given. */
export class PositionSection implements Section<PositionPart> {
  readonly #reference: StreamOptions['reference'];
  #origin: Origin | null = null;
  #hasHeight = false;
  readonly #points = new ThinnedSeries<PositionPoint>(MOST_COUNTED);
  #speeds = 0;
  #fast = 0;
  #largestSpeedMps: number | null = null;
  #distanceM = 0;
  #before: Place | null = null;
  readonly #geoid = new Tally(0.1);
  #geoidAt: Place | null = null;
  #geoidM = 0;

  constructor({ reference }: StreamOptions) {
    this.#reference = reference;
    if (reference === undefined) return;
    const { latitudeDeg, longitudeDeg, altitudeMslM } = reference;
    this.#origin = { latitudeDeg, longitudeDeg, heightM: altitudeMslM ?? 0 };
    this.#hasHeight = altitudeMslM !== undefined;
  }

  epoch({ epoch, tS }: TimedEpoch): void {
    const { latitudeDeg, longitudeDeg, altitudeMslM, speedMps, isValid } = epoch;
    if (isValid !== true || latitudeDeg === null || longitudeDeg === null) return;
    if (this.#origin === null) {
      this.#origin = { latitudeDeg, longitudeDeg, heightM: altitudeMslM ?? 0 };
      this.#hasHeight = altitudeMslM !== null;
    }
    const heightM = altitudeMslM ?? this.#origin.heightM;
    const { eastM, northM, upM } = localOffset(this.#origin, { latitudeDeg, longitudeDeg, heightM });
    const point = { tS, eastM, northM, upM: altitudeMslM === null || !this.#hasHeight ? null : upM };
    this.#points.add(point);
    const here = { latitudeDeg, longitudeDeg };
    this.#move(here, speedMps);
    if (epoch.geoidSeparationM !== null) {
      if (this.#geoidAt === null || distanceM(this.#geoidAt, here) > GEOID_EVERY_M) {
        this.#geoidAt = here;
        this.#geoidM = geoidSeparationM(latitudeDeg, longitudeDeg);
      }
      const deviationM = epoch.geoidSeparationM - this.#geoidM;
      if (Math.abs(deviationM) < 1000) this.#geoid.add(deviationM);
    }
  }

  #move(here: Place, speedMps: number | null): void {
    if (speedMps !== null) {
      this.#speeds += 1;
      if (speedMps > REST_MPS) this.#fast += 1;
      this.#largestSpeedMps = Math.max(this.#largestSpeedMps ?? 0, speedMps);
    }
    // At rest a position wanders, which is no distance gone.
    if (this.#before !== null && (speedMps === null || speedMps > REST_MPS)) {
      this.#distanceM += distanceM(this.#before, here);
    }
    this.#before = here;
  }

  finish(): { part: PositionPart; items: Item[] } {
    const points = this.#points.values;
    const isMoving = this.#isMoving(points);
    const part = this.#partOf(points, isMoving);
    return { part, items: positionItems(part, this.#points.step) };
  }

  #isMoving(points: readonly PositionPoint[]): boolean | null {
    if (points.length === 0) return null;
    if (this.#speeds > 0) return this.#fast > MOVING_SHARE * this.#speeds;
    return horizontalScatter(points).r95M > MOVING_M;
  }

  #partOf(points: readonly PositionPoint[], isMoving: boolean | null): PositionPart {
    const origin = this.#origin;
    const isGiven = this.#reference !== undefined;
    const common = {
      isMoving,
      count: this.#points.count,
      distanceM: isMoving === true ? this.#distanceM : null,
      largestSpeedMps: this.#largestSpeedMps,
      geoidDeviationM: this.#geoid.percentile(50),
    };
    const at = origin === null ? null : placeOf(origin, this.#hasHeight);
    if (points.length === 0 || origin === null || isMoving === true) {
      return {
        ...common,
        about: 'none',
        zero: origin === null ? null : isGiven ? 'reference' : 'first',
        reference: isGiven || isMoving === true ? at : null,
        offset: null,
        scatter: null,
        error: null,
        drift: null,
        points: thinned(points),
      };
    }
    const { meanEastM, meanNorthM, cepM, r95M, drmsM, twoDrmsM } = horizontalScatter(points);
    const heights = points.flatMap(({ upM }) => (upM === null ? [] : [upM]));
    const vertical = heights.length === 0 ? null : verticalScatter(heights);
    const about = isGiven ? scatterAboutReference(points) : null;
    const drift = driftOf(points);
    const mean = { eastM: meanEastM, northM: meanNorthM, upM: vertical?.meanM ?? null };
    return {
      ...common,
      about: isGiven ? 'reference' : 'mean',
      zero: isGiven ? 'reference' : 'mean',
      reference: isGiven ? at : meanPlace(origin, mean, this.#hasHeight),
      offset: isGiven ? mean : null,
      scatter: {
        ...{ cepM, r95M, drmsM, twoDrmsM },
        heightDeviationM: vertical?.sigmaM ?? null,
        heightP95M: vertical?.r95M ?? null,
      },
      error:
        about === null
          ? null
          : {
              ...{ medianM: about.cepM, p95M: about.r95M, largestM: about.maxM },
              heightP95M: vertical?.r95AboutZeroM ?? null,
            },
      drift: drift === null ? null : { eastMps: drift.eastMps, northMps: drift.northMps },
      points: isGiven ? thinned(points) : thinned(points).map((point) => aboutMean(point, mean)),
    };
  }
}

function placeOf({ latitudeDeg, longitudeDeg, heightM }: Origin, hasHeight: boolean): PositionPart['reference'] {
  return { latitudeDeg, longitudeDeg, altitudeMslM: hasHeight ? heightM : null };
}

/** The mean's place: near the first position, whose parallel is long enough for both. */
function meanPlace(
  origin: Origin,
  { eastM, northM, upM }: { eastM: number; northM: number; upM: number | null },
  hasHeight: boolean,
): PositionPart['reference'] {
  const { latitudeDeg, longitudeDeg, heightM } = origin;
  const STEP_DEG = 1e-4;
  const perStep = localOffset(origin, {
    latitudeDeg: latitudeDeg + (latitudeDeg > 0 ? -STEP_DEG : STEP_DEG),
    longitudeDeg: longitudeDeg + STEP_DEG,
    heightM,
  });
  return {
    latitudeDeg: latitudeDeg + (northM / Math.abs(perStep.northM)) * STEP_DEG,
    longitudeDeg: longitudeDeg + (eastM / perStep.eastM) * STEP_DEG,
    altitudeMslM: hasHeight && upM !== null ? heightM + upM : null,
  };
}

function aboutMean(point: PositionPoint, mean: { eastM: number; northM: number; upM: number | null }): PositionPoint {
  return {
    tS: point.tS,
    eastM: point.eastM - mean.eastM,
    northM: point.northM - mean.northM,
    upM: point.upM === null || mean.upM === null ? null : point.upM - mean.upM,
  };
}

function thinned(points: readonly PositionPoint[]): PositionPoint[] {
  const series = new ThinnedSeries<PositionPoint>(MOST_DRAWN);
  for (const point of points) series.add(point);
  return [...series.values];
}
