import { SENTENCE_MAX } from '../../emit/sentences/layout.js';
import type { FixWords } from '../../grammar/decode.js';
import { geoidSeparationM } from '../../sim/geoid.js';
import { isSteady } from '../sections/agreement-item.js';
import { bySentence, byWatch, heardOf, placeShown, placesIn, type Recogniser, WITH_PLACE } from './recogniser.js';

/** Where latitude and longitude stand, from 0. */
const PLACE_AT: Readonly<Record<string, readonly [number, number]>> = {
  GGA: [1, 3],
  GNS: [1, 3],
  RMC: [2, 4],
  GLL: [0, 2],
};

function placeOf(name: string, fields: readonly string[]): { latitude: string; longitude: string } {
  const [latitude, longitude] = PLACE_AT[name] as readonly [number, number];
  return { latitude: fields[latitude] ?? '', longitude: fields[longitude] ?? '' };
}

/** Decimals of a field; null: blank. */
function decimalsOf(field: string): number | null {
  return field === '' ? null : (field.split('.')[1]?.length ?? 0);
}

/** The geoid is never so flat over a wide area that a separation of zero is likely, m. */
const FLAT_GEOID_M = 3;

/** Decimals of minutes that hosts are used to. */
const USUAL_DECIMALS = [4, 5];

/** Positions of one epoch that differ by more were not written from the same one, deg: 0.002 minutes. */
const SAME_PLACE_DEG = 0.002 / 60;

/** So many epochs without a sentence tell that it never comes. */
const ENOUGH_EPOCHS = 20;

/** Whether two sentences of one time tell places that are not one. */
function isApart(one: FixWords, other: FixWords): boolean {
  const differsBy = (a: number | null, b: number | null) => Math.abs((a as number) - (b as number));
  return (
    one.timeOfDayMs === other.timeOfDayMs &&
    (differsBy(one.latitudeDeg, other.latitudeDeg) > SAME_PLACE_DEG ||
      differsBy(one.longitudeDeg, other.longitudeDeg) > SAME_PLACE_DEG)
  );
}

/** Oddities of how sentences are written. */
export const ODDITIES_OF_SENTENCES: readonly Recogniser[] = [
  bySentence('gn-talker', 'remark', ['RMC', 'GGA', 'GNS', 'GLL', 'VTG'], (_words, _fields, { sentence }) => {
    return sentence.talker !== 'GP';
  }),
  bySentence('nav-status-field', 'remark', ['RMC'], (_words, { length }) => length === 13),
  bySentence('old-version-short', 'remark', ['RMC', 'VTG', 'GLL'], ({ of }, { length }) => {
    return length === { RMC: 11, VTG: 8, GLL: 6 }[of];
  }),
  bySentence('blank-course', 'remark', ['RMC'], ({ status }, fields) => status === 'A' && fields[7] === ''),
  bySentence('blank-vtg-variation', 'remark', ['RMC', 'VTG'], (words, fields) => {
    if (words.of === 'RMC') return words.status === 'A' && fields[9] === '';
    // Without a fix there is nothing to tell.
    return words.mode !== 'N' && [0, 2, 4, 6].every((place) => fields[place] === '');
  }),
  bySentence('decimal-count', 'remark', WITH_PLACE, ({ of }, fields) => {
    const { latitude, longitude } = placeOf(of, fields);
    return [latitude, longitude].some((field) => {
      const decimals = decimalsOf(field);
      return decimals !== null && !USUAL_DECIMALS.includes(decimals);
    });
  }),
  bySentence('no-leading-zeros', 'bad', WITH_PLACE, ({ of }, fields) => {
    const { latitude, longitude } = placeOf(of, fields);
    const isShort = (field: string, digits: number) => field !== '' && /^\d+/.exec(field)?.[0].length !== digits;
    return isShort(latitude, 4) || isShort(longitude, 5);
  }),
  bySentence('sixty-minutes', 'bad', WITH_PLACE, ({ of }, fields) => {
    const { latitude, longitude } = placeOf(of, fields);
    const time = fields[of === 'GLL' ? 4 : 0] ?? '';
    const isSixty = [latitude, longitude].some((field) => /^\d+60(\.0*)?$/.test(field));
    // At the end of a day it may be a leap second.
    return isSixty || (/^\d{4}60/.test(time) && !time.startsWith('2359'));
  }),
  bySentence('zero-degree-sign', 'remark', WITH_PLACE, ({ latitudeDeg, longitudeDeg }) => {
    if (latitudeDeg === null || longitudeDeg === null || (latitudeDeg === 0 && longitudeDeg === 0)) return false;
    return Math.abs(latitudeDeg) < 1 || Math.abs(longitudeDeg) < 1;
  }),
  byWatch('dateline', 'remark', (note) => {
    let before: number | null = null;
    return {
      epoch: ({ epoch }) => {
        if (epoch.longitudeDeg === null) return;
        if (before !== null && Math.abs(epoch.longitudeDeg - before) > 350) note(placeShown(epoch).piece, epoch);
        before = epoch.longitudeDeg;
      },
    };
  }),
  byWatch('geoid-variants', 'remark', (note) => {
    // Looked up once in a while: every 0.1 deg of the way.
    let known: { latitudeDeg: number; longitudeDeg: number; flat: boolean } | null = null;
    return {
      epoch: ({ epoch }) => {
        const heard = heardOf(epoch, ['GGA']);
        const gga = heard?.decoded;
        if (heard === null || gga == null || !gga.quality || gga.latitudeDeg === null || gga.longitudeDeg === null)
          return;
        const { geoidSeparationM: separationM, latitudeDeg, longitudeDeg } = gga;
        const isNear =
          known !== null &&
          Math.abs(known.latitudeDeg - latitudeDeg) + Math.abs(known.longitudeDeg - longitudeDeg) < 0.1;
        if (known === null || !isNear) {
          const flat = Math.abs(geoidSeparationM(latitudeDeg, longitudeDeg)) < FLAT_GEOID_M;
          known = { latitudeDeg, longitudeDeg, flat };
        }
        if (separationM === null || separationM < 0 || (separationM === 0 && !known.flat)) note(heard.piece, epoch);
      },
    };
  }),
  bySentence('altitude-blank', 'remark', ['GGA'], ({ quality }, fields) => (quality ?? 0) > 0 && fields[8] === ''),
  byWatch('over-82', 'remark', (note) => ({
    heard: ({ piece, sentence }) => {
      if (sentence.checksum === 'good' && piece.text.length + 2 > SENTENCE_MAX) note(piece);
    },
  })),
  byWatch('bad-checksum', 'bad', (note) => ({
    heard: ({ piece, sentence }) => {
      if (sentence.checksum === 'bad') note(piece);
    },
  })),
  byWatch('checksum-lowercase', 'remark', (note) => ({
    heard: ({ piece, sentence }) => {
      if (sentence.checksum === 'good' && /[a-f]/.test(sentence.given ?? '')) note(piece);
    },
  })),
  byWatch('checksum-absent', 'remark', (note) => ({
    heard: ({ piece, sentence: { checksum, kind, given } }) => {
      const isHalf = checksum === 'malformed' && /^[0-9A-Fa-f]?$/.test(given ?? '');
      // Without a line end it was cut off.
      if ((checksum === 'absent' || isHalf) && kind === 'standard' && piece.ending !== '') note(piece);
    },
  })),
  byWatch('damaged-but-checks', 'bad', (note) => {
    const all = { epochs: 0, apart: 0 };
    return {
      epoch: ({ epoch }) => {
        const [first, ...others] = placesIn(epoch);
        if (first === undefined || others.length === 0) return;
        all.epochs += 1;
        const apart = others.filter(({ decoded }) => isApart(first.decoded, decoded));
        if (apart.length === 0) return;
        all.apart += 1;
        // Where all others are elsewhere, it is the first that is alone.
        const shown = others.length > 1 && apart.length === others.length ? first : (apart[0] as typeof first);
        note(shown.piece, epoch);
      },
      // What is always so is no damage: the places' agreement is an item of its own.
      end: () => !isSteady(all),
    };
  }),
  byWatch('thin-sentence-set', 'remark', (note) => {
    const seen = new Set<string>();
    let epochs = 0;
    const see = ({ decoded }: { decoded: { of: string } | null }) => void seen.add(decoded?.of ?? '');
    return {
      of: { RMC: see, GGA: see, GNS: see, VTG: see },
      epoch: ({ epoch, piece }) => {
        epochs += 1;
        const hasPosition = seen.has('GGA') || seen.has('GNS');
        if (epochs === ENOUGH_EPOCHS && !(seen.has('RMC') && hasPosition)) note(piece, epoch);
      },
      end: () => !(seen.has('RMC') && (seen.has('GGA') || seen.has('GNS'))),
    };
  }),
];
