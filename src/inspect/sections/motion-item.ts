import { counted, number } from '../../base/words.js';
import type { MotionPart, WindowFigures } from '../consistency-report.js';
import type { Item, Verdict } from '../inspect-report.js';

/** Fewer windows of a kind do not make a median; nor, further down, what 95 % lie within. */
const LEAST_WINDOWS = 3;
const LEAST_FOR_95 = 20;
/** Where 95 % lie within so many times what is allowed, single ones beyond it are the positions' noise. */
const SCATTERED = 3;
/** A direction that is off by less is not spoken of, deg. */
const COURSE_DEG = 10;

/** What the velocity told comes to, against the positions. */
export function motionItem(part: MotionPart): Item {
  const key = 'motion';
  const title = 'Motion';
  const { slow, moving, unit } = part;
  const [ofSlow, ofMoving] = [verdictOf(slow), verdictOf(moving)];
  if (ofSlow === 'untested' && ofMoving === 'untested') {
    const reason = 'under 30 s of positions with speed and course, one following the other, and not at a pole';
    return { key, title, verdict: 'untested', reason };
  }
  const [first] = part.examples;
  const where = first === undefined ? '' : `, line ${first.line}`;
  if (moving !== null && ofMoving === 'bad') {
    return { key, title, verdict: 'bad', reason: `${against(moving)}${offOf(part)}${where}` };
  }
  if (slow !== null && ofSlow === 'bad') return { key, title, verdict: 'bad', reason: `${against(slow)}${where}` };
  const all = [
    ...(moving === null ? [] : [`from 2 m/s on ${apart(moving)}`]),
    ...(slow === null ? [] : [`below 2 m/s ${apart(slow)}`]),
  ].join('; ');
  const reason = `speed and course agree with the positions: ${all}`;
  if (moving !== null && unit !== null && ofMoving !== 'untested') {
    return { key, title, verdict: 'remark', reason: `${against(moving)}${offOf(part)}` };
  }
  if (ofSlow !== 'remark' && ofMoving !== 'remark') return { key, title, verdict: 'good', reason };
  const beyond = (moving?.apart ?? 0) + (slow?.apart ?? 0);
  return { key, title, verdict: 'remark', reason: `${reason}; but far apart ${windows(beyond)}${where}` };
}

function verdictOf(figures: WindowFigures | null): Verdict {
  if (figures === null || figures.windows < LEAST_WINDOWS) return 'untested';
  if (figures.medianOfAllowed > 1) return 'bad';
  return figures.windows >= LEAST_FOR_95 && figures.p95OfAllowed > SCATTERED ? 'remark' : 'good';
}

function against({ toldMps, goneMps, medianMps, windows: count }: WindowFigures): string {
  const said = `${mps(toldMps)} told, but the positions go at ${mps(goneMps)}`;
  return `${said}: ${mps(medianMps)} apart, median of ${counted(count, 'window')} of 10 s`;
}

function offOf({ unit, ratio, courseOffDeg }: MotionPart): string {
  if (unit !== null && ratio !== null) {
    return `; the way is ${number(ratio, 2)} times what is told: as if ${unit} stood in the field for knots`;
  }
  if (courseOffDeg === null || Math.abs(courseOffDeg) < COURSE_DEG) return '';
  return `; they go ${number(Math.abs(courseOffDeg), 0)} deg off the course told`;
}

function apart({ medianMps, p95Mps, windows: count }: WindowFigures): string {
  const most = count < LEAST_FOR_95 ? '' : `, 95 % ${mps(p95Mps)}`;
  return `${mps(medianMps)} apart${most}, median of ${counted(count, 'window')} of 10 s`;
}

function windows(count: number): string {
  return count === 1 ? 'in one window' : `in ${counted(count, 'window')}`;
}

function mps(value: number): string {
  return `${number(value, Math.abs(value) < 10 ? 2 : 1)} m/s`;
}
