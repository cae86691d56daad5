import { BITS_PER_BYTE } from '../../base/constants.js';
import { stepOfDayMs } from '../../base/step-of-day.js';
import type { Piece } from '../../grammar/splitter.js';
import { LISTED_SPEEDS } from '../common-speeds.js';
import { byWatch, type Recogniser, type Watch } from './recogniser.js';

/** Nothing for so long is silence: hosts give a module up (common practice), s. */
const SILENCE_S = 5;
/** Of the line's speed: it has no idle gap. */
const SATURATED = 0.97;
/** Over so many epochs, and in this share of all. */
const OVER_EPOCHS = 5;
const SATURATED_SHARE = 0.2;
/** By so much an interval by arrival may differ from the stamps', s. */
const JITTER_S = 0.1;
const LEAST_COUNT = 3;
const LEAST_SHARE = 0.03;
/** Where more of the steps than this share are none, the stamps are too coarse. */
const COARSE_SHARE = 0.2;
/** The first byte comes late after so long, s. */
const LATE_S = 2;
/** Epochs that come in less than this part of their time were kept for the host. */
const KEPT_PART = 0.3;
/** So many after the start. */
const AT_START = 120;

/** Oddities of when bytes come: by their times of arrival where those are known, else by the time stamps. */
export const ODDITIES_OF_ARRIVAL: readonly Recogniser[] = [
  byWatch('silence', 'bad', (note) => ({
    epoch: ({ epoch, arrivalStepS, stampStepS, piece }) => {
      if ((arrivalStepS ?? stampStepS ?? 0) >= SILENCE_S) note(piece, epoch);
    },
  })),
  byWatch('line-saturated', 'bad', (note, { baud }) => {
    const window: { offset: number; tS: number }[] = [];
    let epochs = 0;
    let full = 0;
    return {
      epoch: ({ epoch, piece, tS }) => {
        if (baud === undefined || baud === null) return;
        epochs += 1;
        window.push({ offset: piece.offset, tS });
        if (window.length <= OVER_EPOCHS) return;
        const from = window.shift() as { offset: number; tS: number };
        if (tS <= from.tS) return;
        const bitsPerS = ((piece.offset - from.offset) * BITS_PER_BYTE) / (tS - from.tS);
        if (bitsPerS < SATURATED * baud) return;
        full += 1;
        note(piece, epoch);
      },
      end: () => full >= LEAST_COUNT && full >= SATURATED_SHARE * epochs,
    };
  }),
  byWatch('bunched-jitter', 'remark', (note) => {
    let epochs = 0;
    let odd = 0;
    let coarse = 0;
    return rhythm(
      (piece, { stampS, arrivalS }) => {
        if (stampS > SILENCE_S) return;
        epochs += 1;
        if (stampS <= 0) coarse += 1;
        else if (Math.abs(arrivalS - stampS) >= JITTER_S * Math.min(1, stampS)) {
          odd += 1;
          note(piece);
        }
        // Stamps of whole seconds do not tell of epochs that come more often.
      },
      () => odd >= LEAST_COUNT && odd >= LEAST_SHARE * epochs && coarse <= COARSE_SHARE * epochs,
    );
  }),
  byWatch('backlog-on-open', 'bad', (note) => {
    let epochs = 0;
    let kept = 0;
    const last: { stampS: number; arrivalS: number }[] = [];
    return rhythm(
      (piece, step) => {
        if (step.stampS < 0 || epochs++ > AT_START) return;
        last.push(step);
        if (last.length > OVER_EPOCHS) last.shift();
        const isKept = last.every(({ stampS, arrivalS }) => stampS > 0 && arrivalS <= KEPT_PART * stampS);
        if (last.length < OVER_EPOCHS || !isKept) return;
        kept += 1;
        note(piece);
      },
      () => kept > 0,
    );
  }),
  byWatch('late-first-byte', 'remark', (note, { openedMs }) => {
    let isOver = false;
    const look = (piece: Piece) => {
      if (isOver) return;
      isOver = true;
      if (openedMs !== undefined && piece.startMs !== null && piece.startMs - openedMs >= LATE_S * 1000) note(piece);
    };
    return { noise: look, heard: ({ piece }) => look(piece) };
  }),
  byWatch('many-per-read', 'remark', (note) => {
    let before: Piece | null = null;
    return {
      heard: ({ piece }) => {
        const isOneRead = piece.startMs !== null && piece.startMs === piece.endMs;
        if (isOneRead && before?.startMs === piece.startMs && before.endMs === piece.startMs) note(piece);
        before = piece;
      },
    };
  }),
  byWatch('unlisted-baud', 'remark', (note, { baud }) => {
    let isOver = baud === undefined || baud === null || LISTED_SPEEDS.includes(baud);
    return {
      epoch: ({ piece, epoch }) => {
        if (!isOver) note(piece, epoch);
        isOver = true;
      },
    };
  }),
];

/** From one RMC to the next, where there is none from one GGA: steps of stamp and of arrival, s. */
function rhythm(
  see: (piece: Piece, step: { readonly stampS: number; readonly arrivalS: number }) => void,
  end: () => boolean,
): Watch {
  let before: { timeMs: number; arrivalMs: number } | null = null;
  let hasRmc = false;
  const look: NonNullable<Watch['heard']> = ({ piece, decoded }) => {
    if (decoded?.of === 'RMC') hasRmc = true;
    else if (hasRmc || decoded?.of !== 'GGA') return;
    if (decoded.timeOfDayMs === null || piece.startMs === null) return;
    const here = { timeMs: decoded.timeOfDayMs, arrivalMs: piece.startMs };
    if (before !== null) {
      const stampS = stepOfDayMs(before.timeMs, here.timeMs) / 1000;
      see(piece, { stampS, arrivalS: (here.arrivalMs - before.arrivalMs) / 1000 });
    }
    before = here;
  };
  return { of: { RMC: look, GGA: look }, end };
}
