import type { HeardEpoch } from '../../grammar/heard-epoch.js';
import type { Piece } from '../../grammar/splitter.js';
import { distanceM, type Place } from '../../statistics/distance-m.js';
import { byWatch, type Note, placeShown, type Recogniser, resolutionM, type Watch } from './recogniser.js';

/** A step counts from so many metres on, and where it is faster than what moves on the ground or in the air. */
const LEAST_STEP_M = 200;
const LEAST_SPEED_MPS = 350;
/** Before it the position was settled for so many epochs; a longer gap unsettles it, s. */
const SETTLED = 5;
const LONGEST_GAP_S = 10;
/** It is back where it is so near to where it went from, as a part of the step. */
const RETURN_PART = 0.25;
/** Whether it comes back is waited for so long; at the end of a stream the least, s. */
const STAYS_S = 60;
const LEAST_STAY_S = 10;
/** Beyond this dilution a position is a guess. */
const GUESS_DOP = 20;

interface Fix extends Place {
  readonly tS: number;
}

/** A step out, and what it is told by. */
interface Step {
  readonly home: Fix;
  readonly sizeM: number;
  readonly tS: number;
  readonly piece: Piece;
  readonly epoch: HeardEpoch;
}

/**
 * Steps of the position that nothing moves fast enough for. `jump`: out and back again. `jam-spoof`: it stays away.
 */
export function jumpsOf(id: 'jump' | 'jam-spoof'): Recogniser {
  return byWatch(id, 'bad', (note) => watchSteps(note, id));
}

function watchSteps(note: Note, id: 'jump' | 'jam-spoof'): Watch {
  let last: Fix | null = null;
  let settled = 0;
  let out: Step | null = null;
  const stays = (step: Step) => {
    if (id === 'jam-spoof') note(step.piece, step.epoch);
  };
  return {
    epoch: ({ epoch, tS }) => {
      const { isValid, latitudeDeg, longitudeDeg, speedMps, hdop } = epoch;
      if (isValid !== true || latitudeDeg === null || longitudeDeg === null) return;
      // That place is a failure of its own.
      if ((latitudeDeg === 0 && longitudeDeg === 0) || (hdop ?? 0) > GUESS_DOP) return;
      const before = last;
      const here = { latitudeDeg, longitudeDeg, tS };
      last = here;
      if (before === null) return;
      const gapS = tS - before.tS;
      if (gapS > LONGEST_GAP_S) settled = 0;
      settled += 1;
      if (out !== null && tS - out.tS > STAYS_S) {
        stays(out);
        out = null;
      }
      const isSlow = isNear(before, here);
      const sizeM = isSlow ? 0 : distanceM(before, here);
      const mostM = Math.max(LEAST_SPEED_MPS, 2 * (speedMps ?? 0)) * Math.max(1, gapS);
      if (sizeM < LEAST_STEP_M || sizeM < mostM || sizeM < 3 * resolutionM(epoch)) return;
      if (out !== null && distanceM(out.home, here) < RETURN_PART * out.sizeM) {
        if (id === 'jump') note(placeShown(epoch).piece, epoch);
        [out, settled] = [null, SETTLED];
      } else if (out === null && settled > SETTLED)
        out = { home: before, sizeM, tS, piece: placeShown(epoch).piece, epoch };
    },
    end: () => {
      if (out !== null && last !== null && last.tS - out.tS >= LEAST_STAY_S) stays(out);
      return true;
    },
  };
}

function isNear(a: Place, b: Place): boolean {
  const SAME_DEG = 0.001;
  return Math.abs(a.latitudeDeg - b.latitudeDeg) < SAME_DEG && Math.abs(a.longitudeDeg - b.longitudeDeg) < SAME_DEG;
}
