import type { ExpectationKind } from '../expectation.js';
import { course } from './kinds/course.js';
import { damagedSentence } from './kinds/damaged-sentence.js';
import { defaultDate } from './kinds/default-date.js';
import { falseJump } from './kinds/false-jump.js';
import { firstFix } from './kinds/first-fix.js';
import { height } from './kinds/height.js';
import { latency } from './kinds/latency.js';
import { noFix } from './kinds/no-fix.js';
import { position } from './kinds/position.js';
import { recovery } from './kinds/recovery.js';
import { reportInterval } from './kinds/report-interval.js';
import { restarts } from './kinds/restarts.js';
import { running } from './kinds/running.js';
import { satellitesInView } from './kinds/satellites-in-view.js';
import { satellitesUsed } from './kinds/satellites-used.js';
import { speed } from './kinds/speed.js';
import { time } from './kinds/time.js';

/** Every kind of expectation, a line each. The schema of a trial is made from this list. */
export const EXPECTATION_KINDS: readonly ExpectationKind[] = [
  firstFix,
  position,
  speed,
  course,
  height,
  time,
  noFix,
  recovery,
  damagedSentence,
  defaultDate,
  falseJump,
  running,
  restarts,
  latency,
  reportInterval,
  satellitesUsed,
  satellitesInView,
];
