import { counted, number, ordinal } from '../../base/words.js';
import type { Item, PositionPart, Verdict } from '../inspect-report.js';

/**
 * Horizontal error, 95 %: of the position service in the open on average and at the worst place, m (GPS SPS Performance
 * Standard, 5th edition, 2020, position accuracy standards; from memory).
 */
const GOOD_95_M = 8;
const WORST_95_M = 15;
/** The same, of the height, m. */
const GOOD_HEIGHT_M = 13;
const WORST_HEIGHT_M = 33;
/** EGM96 is known to a metre, and coarse tables in modules to a few (common practice), m. */
const GEOID_M = 5;
/** A mean that moves by more in the course of the stream is told of, m. */
const DRIFT_M = 5;

/** What the positions come to. @param step every so-manieth position was counted */
export function positionItems(part: PositionPart, step: number): Item[] {
  return [positionItem(part, step), ...heightItems(part), ...driftItems(part), geoidItem(part)];
}

function positionItem(part: PositionPart, step: number): Item {
  const key = 'position';
  const title = 'Position';
  const { about, count, isMoving, error, offset, scatter } = part;
  if (count === 0) return { key, title, verdict: 'untested', reason: 'there is no valid position' };
  const size = `${counted(count, 'position')}${step === 1 ? '' : `, every ${ordinal(step)} counted`}`;
  if (about === 'none' || scatter === null) {
    const speed = part.largestSpeedMps === null ? '' : `, up to ${number(part.largestSpeedMps, 1)} m/s`;
    const way = part.distanceM === null ? '' : ` over ${number(part.distanceM / 1000, 2)} km`;
    const why = isMoving === true ? 'scatter about a place says nothing' : 'nothing to tell';
    return { key, title, verdict: 'untested', reason: `${size}; the antenna moved${way}${speed}: ${why}` };
  }
  const about2 = `CEP ${m(scatter.cepM)}, 95 % ${m(scatter.r95M)}, 2DRMS ${m(scatter.twoDrmsM)} about the mean`;
  if (error === null || offset === null) {
    return { key, title, verdict: limit(scatter.r95M, 'remark'), reason: `${about2}; ${size}, no reference given` };
  }
  const from = `50 % within ${m(error.medianM)}, 95 % within ${m(error.p95M)} of the reference`;
  const where = `offset ${m(offset.eastM)} east, ${m(offset.northM)} north`;
  return { key, title, verdict: limit(error.p95M, 'bad'), reason: `${from}; ${where}; ${about2}; ${size}` };
}

function limit(radiusM: number, worst: Verdict): Verdict {
  return radiusM <= GOOD_95_M ? 'good' : radiusM <= WORST_95_M ? 'remark' : worst;
}

function heightItems({ offset, scatter, error }: PositionPart): Item[] {
  if (scatter === null || scatter.heightDeviationM === null) return [];
  const key = 'height';
  const title = 'Height';
  const spread = `standard deviation ${m(scatter.heightDeviationM)}`;
  const wrongM = error?.heightP95M ?? null;
  if (wrongM === null || offset?.upM == null) {
    const p95M = scatter.heightP95M ?? 0;
    const verdict = p95M <= GOOD_HEIGHT_M ? 'good' : 'remark';
    return [{ key, title, verdict, reason: `95 % within ${m(p95M)} of the mean, ${spread}` }];
  }
  const verdict = wrongM <= GOOD_HEIGHT_M ? 'good' : wrongM <= WORST_HEIGHT_M ? 'remark' : 'bad';
  const side = offset.upM < 0 ? 'below' : 'above';
  const mean = `mean ${m(Math.abs(offset.upM))} ${side} it`;
  return [{ key, title, verdict, reason: `95 % within ${m(wrongM)} of the reference, ${mean}, ${spread}` }];
}

function driftItems({ drift, points }: PositionPart): Item[] {
  const [first, last] = [points[0], points.at(-1)];
  if (drift === null || first === undefined || last === undefined) return [];
  const speedMps = Math.hypot(drift.eastMps, drift.northMps);
  const movedM = speedMps * (last.tS - first.tS);
  const perMinute = `${number(drift.eastMps * 60, 2)} m/min east, ${number(drift.northMps * 60, 2)} m/min north`;
  const reason = `${perMinute}; ${m(movedM)} in all, by a straight line through the positions`;
  return [{ key: 'drift', title: 'Drift', verdict: movedM <= DRIFT_M ? 'good' : 'remark', reason }];
}

function geoidItem({ geoidDeviationM }: PositionPart): Item {
  const key = 'geoid';
  const title = 'Geoid separation';
  if (geoidDeviationM === null) return { key, title, verdict: 'untested', reason: 'no sentence tells it' };
  const side = geoidDeviationM < 0 ? 'below' : 'above';
  const reason = `${m(Math.abs(geoidDeviationM))} ${side} EGM96, median`;
  return { key, title, verdict: Math.abs(geoidDeviationM) <= GEOID_M ? 'good' : 'remark', reason };
}

function m(value: number): string {
  return `${number(value, Math.abs(value) < 100 ? 2 : 0)} m`;
}
