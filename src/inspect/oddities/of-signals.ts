import { percentile } from '../../statistics/percentile.js';
import { byWatch, heardOf, type Recogniser } from './recogniser.js';

/** The median of C/N0 falls by so much within so long, then nothing is heard. */
const COLLAPSE_DB = 10;
const COLLAPSE_S = 120;
/** Fewer satellites do not make a median. */
const LEAST_HEARD = 3;
/** A restart is told by what the module says at its start, so many epochs or more after it. */
const LEAST_EPOCHS = 10;
/** And by a fix that is gone within so many epochs. */
const SOON = 5;

/** Oddities of what the module hears, and of what becomes of it. */
export const ODDITIES_OF_SIGNALS: readonly Recogniser[] = [
  byWatch('cn0-collapse', 'bad', (note) => {
    let best = { tS: 0, medianDbHz: 0 };
    let weakS: number | null = null;
    return {
      epoch: ({ epoch, tS, piece }) => {
        if (epoch.satellites.length === 0) return;
        const heard = epoch.satellites.flatMap(({ cn0DbHz }) => (cn0DbHz === null ? [] : [cn0DbHz]));
        heard.sort((a, b) => a - b);
        if (heard.length === 0) {
          if (weakS !== null && tS - weakS < COLLAPSE_S) note(heardOf(epoch, ['GSV'])?.piece ?? piece, epoch);
          weakS = null;
          best = { tS, medianDbHz: 0 };
          return;
        }
        if (heard.length < LEAST_HEARD) return;
        const medianDbHz = percentile(heard, 50);
        if (medianDbHz > best.medianDbHz - COLLAPSE_DB) weakS = null;
        else if (tS - best.tS < COLLAPSE_S) weakS ??= tS;
        if (medianDbHz >= best.medianDbHz || tS - best.tS >= COLLAPSE_S) best = { tS, medianDbHz };
      },
    };
  }),
  // TXT with ANT and OPEN or SHORT: common practice, no standard has these words.
  byWatch('antenna-open-short', 'bad', (note) => ({
    of: {
      TXT: ({ piece, decoded }) => {
        if (decoded?.of === 'TXT' && /\bANT/i.test(decoded.text) && /OPEN|SHORT/i.test(decoded.text)) note(piece);
      },
    },
  })),
  byWatch('reset-mid-run', 'bad', (note) => {
    let banner: string | null = null;
    let epochs = 0;
    let hadFix = false;
    let suspect: { note: () => void; untilEpoch: number } | null = null;
    return {
      of: {
        TXT: ({ piece, decoded }) => {
          if (decoded?.of !== 'TXT') return;
          if (epochs === 0) banner ??= decoded.text;
          else if (decoded.text === banner && hadFix && epochs >= LEAST_EPOCHS) {
            suspect = { note: () => note(piece), untilEpoch: epochs + SOON };
          }
        },
      },
      epoch: ({ epoch }) => {
        epochs += 1;
        if (epoch.isValid === true) hadFix = true;
        if (suspect === null) return;
        if (epoch.isValid === false) {
          suspect.note();
          [suspect, hadFix] = [null, false];
        } else if (epochs > suspect.untilEpoch) suspect = null;
      },
    };
  }),
];
