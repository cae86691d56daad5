import { distanceM } from '../../statistics/distance-m.js';
import { ODDITIES_OF_SIGNALS } from './of-signals.js';
import { jumpsOf } from './position-steps.js';
import {
  byEpoch,
  bySentence,
  byWatch,
  heardOf,
  placeShown,
  type Recogniser,
  resolutionM,
  sentenceOf,
  WITH_PLACE,
} from './recogniser.js';

/** A dilution that no position is worth much with: beyond 20 (common practice). */
const EXTREME_DOP = 20;
/** A first fix after so long is slow, s. */
const SLOW_S = 120;
/** A position that stays the same is frozen once the speed would have moved it by so much, m. */
const FROZEN_M = 20;
/** The same text so often in a row is no chance. */
const STUCK = 5;
/** A fix that is lost for so long, and comes back so far away. */
const TUNNEL_S = 3;
const TUNNEL_M = 50;
/** At rest below this speed, for so long, at another place so often. */
const REST_MPS = 0.5;
const REST_S = 30;
const WANDERINGS = 10;
/** A height that moves by more is not that of an antenna at rest, m: a lift, a balloon, a parachute. */
const REST_HEIGHT_M = 20;
/** So many changes within so long. */
const FLAPS = 6;
const FLAPS_S = 60;

interface At {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  readonly tS: number;
}

/** Oddities of whether there is a fix, and where. */
export const ODDITIES_OF_FIX: readonly Recogniser[] = [
  bySentence('all-blank-void', 'remark', ['RMC'], ({ status }, fields) => {
    return status === 'V' && fields.slice(0, 11).every((field, place) => place === 1 || field === '');
  }),
  byWatch('lost-fix-stale', 'remark', (note) => {
    let wasValid = false;
    return {
      epoch: ({ epoch, piece }) => {
        const isVoid = epoch.isValid === false && (epoch.status ?? 'V') === 'V' && !epoch.quality;
        if (isVoid && wasValid)
          note((heardOf(epoch, ['RMC', 'GLL']) ?? heardOf(epoch, WITH_PLACE))?.piece ?? piece, epoch);
        if (epoch.isValid !== null) wasValid = epoch.isValid;
      },
    };
  }),
  byEpoch('estimated-fix', 'remark', (epoch) => {
    const { quality, mode, latitudeDeg } = epoch;
    if (latitudeDeg === null || (quality !== 6 && mode !== 'E')) return null;
    return heardOf(epoch, ['RMC', 'GGA', 'GLL', 'VTG', 'GNS'], (words) => {
      return ('quality' in words && words.quality === 6) || ('mode' in words && words.mode === 'E');
    });
  }),
  jumpsOf('jump'),
  jumpsOf('jam-spoof'),
  bySentence('zero-zero-position', 'bad', ['RMC', 'GGA', 'GNS', 'GLL'], (words) => {
    return words.latitudeDeg === 0 && words.longitudeDeg === 0;
  }),
  byEpoch('validity-conflict', 'bad', (epoch) => {
    const [gga, rmc, gll] = [sentenceOf(epoch, 'GGA'), sentenceOf(epoch, 'RMC'), sentenceOf(epoch, 'GLL')];
    const said = [rmc, gll].flatMap((each) =>
      each?.status === 'A' || each?.status === 'V' ? [{ isValid: each.status === 'A', at: each.timeOfDayMs }] : [],
    );
    const shown = heardOf(epoch, [gga === null || gga.quality === null ? 'GLL' : 'GGA']);
    if (gga?.quality === null || gga === null) {
      return said.some(({ isValid }) => isValid !== said[0]?.isValid) ? shown : null;
    }
    if (gga.quality === 0 && (gga.used ?? 0) > 0) return shown;
    // An estimated position may be told as void.
    if (gga.quality === 6) return null;
    const hasFix = gga.quality > 0;
    return said.some(({ isValid, at }) => isValid !== hasFix && at === gga.timeOfDayMs) ? shown : null;
  }),
  bySentence('odd-status-letter', 'bad', ['RMC', 'GLL'], ({ status }) => {
    return status !== null && status !== 'A' && status !== 'V';
  }),
  byWatch('slow-first-fix', 'remark', (note) => {
    let isOver = false;
    return {
      epoch: ({ epoch, tS, piece }) => {
        if (isOver || epoch.isValid === null) return;
        if (epoch.isValid || tS > SLOW_S) isOver = true;
        if (tS > SLOW_S) note(heardOf(epoch, ['RMC', 'GGA', 'GNS', 'GLL'])?.piece ?? piece, epoch);
      },
    };
  }),
  byWatch('frozen-position', 'bad', (note) => {
    let text = '';
    let movedM = 0;
    let isTold = false;
    return {
      epoch: ({ epoch, stampStepS }) => {
        const rmc = epoch.sentences.find(({ decoded }) => decoded?.of === 'RMC' || decoded?.of === 'GGA');
        // 0, 0 is a failure of its own.
        if (rmc === undefined || epoch.isValid !== true || !epoch.latitudeDeg) return;
        const from = rmc.decoded?.of === 'RMC' ? 2 : 1;
        const here = rmc.sentence.fields.slice(from, from + 4).join();
        if (here !== text) [text, movedM, isTold] = [here, 0, false];
        else movedM += (epoch.speedMps ?? 0) * Math.max(0, stampStepS ?? 0);
        if (isTold || movedM < Math.max(FROZEN_M, 3 * resolutionM(epoch))) return;
        isTold = true;
        note(rmc.piece, epoch);
      },
    };
  }),
  byWatch('fully-stuck', 'bad', (note) => {
    const runs = new Map<string, { text: string; count: number }>();
    return {
      heard: ({ piece, decoded, sentence }) => {
        if (decoded === null || (decoded.of !== 'RMC' && decoded.of !== 'GGA')) return;
        const run = runs.get(decoded.of);
        const count = run?.text === piece.text ? run.count + 1 : 1;
        runs.set(decoded.of, { text: piece.text, count });
        // Without a time it says the same each time before it knows it.
        if (count === STUCK && decoded.timeOfDayMs !== null && sentence.checksum === 'good') note(piece);
      },
    };
  }),
  byWatch('tunnel', 'remark', (note) => {
    let last: At | null = null;
    let isLost = false;
    return {
      epoch: ({ epoch, tS }) => {
        const { isValid, latitudeDeg, longitudeDeg, quality, used } = epoch;
        if (isValid === false && !quality && !used) isLost = true;
        if (isValid !== true || latitudeDeg === null || longitudeDeg === null) return;
        const here = { latitudeDeg, longitudeDeg, tS };
        const wasLong = isLost && last !== null && tS - last.tS >= TUNNEL_S;
        if (wasLong && distanceM(last as At, here) > TUNNEL_M) note(placeShown(epoch).piece, epoch);
        [last, isLost] = [here, false];
      },
    };
  }),
  byWatch('static-drift', 'remark', (note) => {
    let since: (At & { readonly altitudeMslM: number | null }) | null = null;
    let before: At | null = null;
    let moves = 0;
    return {
      epoch: ({ epoch, tS }) => {
        const { isValid, latitudeDeg, longitudeDeg, altitudeMslM, speedMps } = epoch;
        if (isValid !== true || latitudeDeg === null || longitudeDeg === null || (speedMps ?? Infinity) > REST_MPS) {
          [since, before, moves] = [null, null, 0];
          return;
        }
        const here = { latitudeDeg, longitudeDeg, altitudeMslM, tS };
        const roseM = altitudeMslM === null ? 0 : altitudeMslM - (since?.altitudeMslM ?? altitudeMslM);
        if (Math.abs(roseM) > REST_HEIGHT_M) [since, moves] = [here, 0];
        since ??= here;
        const isSame = before?.latitudeDeg === latitudeDeg && before.longitudeDeg === longitudeDeg;
        if (before !== null && !isSame) moves += 1;
        before = here;
        if (tS - since.tS < REST_S || moves < WANDERINGS) return;
        [since, moves] = [here, 0];
        note(placeShown(epoch).piece, epoch);
      },
    };
  }),
  byEpoch('dop-extremes', 'remark', (epoch) => {
    const isExtreme = epoch.isValid === true && (epoch.hdop ?? 0) > EXTREME_DOP;
    return isExtreme ? heardOf(epoch, ['GGA', 'GNS', 'GSA'], ({ hdop }) => hdop === epoch.hdop) : null;
  }),
  byWatch('2d-3d-flap', 'remark', (note) => {
    let before: string | null = null;
    const changesS: number[] = [];
    return {
      epoch: ({ epoch, tS, piece }) => {
        const { fix } = epoch;
        if (fix !== '2d' && fix !== '3d') return;
        if (before !== null && fix !== before) changesS.push(tS);
        before = fix;
        if (changesS.length < FLAPS) return;
        if (tS - (changesS[0] as number) <= FLAPS_S) {
          note(heardOf(epoch, ['GSA'], (words) => words.fix === fix)?.piece ?? piece, epoch);
        }
        changesS.splice(0, changesS.length - FLAPS + 1);
      },
    };
  }),
  ...ODDITIES_OF_SIGNALS,
];
