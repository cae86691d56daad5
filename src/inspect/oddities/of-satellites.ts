import { systemOfSatellite } from '../system-of-satellite.js';
import { byEpoch, bySentence, byWatch, heardOf, type Recogniser } from './recogniser.js';

/** Satellites of a GSV begin at this field, and have so many each. */
const FIRST = 3;
const EACH = 4;
/** GSA has so many places, and GGA's count is often capped there. */
const PLACES = 12;

/** Oddities of the lists of satellites, and of who speaks. */
export const ODDITIES_OF_SATELLITES: readonly Recogniser[] = [
  byWatch('gsv-signal-id', 'remark', (note) => {
    let all = 0;
    let withId = 0;
    return {
      of: {
        GSV: ({ piece, sentence }) => {
          all += 1;
          if ((sentence.fields.length - FIRST) % EACH !== 1) return;
          withId += 1;
          note(piece);
        },
      },
      // A few are lists that broke off.
      end: () => withId > all / 2,
    };
  }),
  byEpoch('gsv-blank-cn0', 'remark', (epoch) => {
    if (epoch.isValid !== true) return null;
    return heardOf(epoch, ['GSV'], ({ satellites }) => {
      return satellites.some((each) => each.elevationDeg !== null && each.cn0DbHz === null);
    });
  }),
  bySentence('gsv-padded-slots', 'remark', ['GSV'], (_words, fields) => {
    const last = fields.slice(fields.length - EACH - ((fields.length - FIRST) % EACH));
    return fields.length >= FIRST + 2 * EACH && last.slice(0, EACH).every((field) => field === '');
  }),
  byEpoch('gsa-per-system', 'remark', (epoch) => {
    let first: string | null = null;
    return heardOf(epoch, ['GSA'], ({ ids, system }, { sentence: { talker } }) => {
      const systems = ids.map((id) => systemOfSatellite(talker, id, system));
      first ??= systems[0] ?? null;
      return systems.some((each) => each !== first);
    });
  }),
  bySentence('hex-ids', 'remark', ['GSV'], ({ signal }) => /^[A-F]$/.test(signal ?? '')),
  byEpoch('gsv-per-signal', 'remark', (epoch) => {
    const signals = new Map<string, string | null>();
    return heardOf(epoch, ['GSV'], ({ satellites }) => {
      return satellites.some(({ talker, signal }) => {
        const isAnother = signals.has(talker) && signals.get(talker) !== signal;
        signals.set(talker, signal);
        return isAnother;
      });
    });
  }),
  bySentence('gsv-none-in-view', 'remark', ['GSV'], ({ inView, number }) => inView === 0 && number === 1),
  bySentence('gsv-bad-shape', 'bad', ['GSV'], (_words, { length }) => length < FIRST || (length - FIRST) % EACH > 1),
  bySentence('gsv-decimal-cn0', 'remark', ['GSV'], (_words, fields) => {
    return fields.some((field, place) => place >= FIRST && (place - FIRST) % EACH === 3 && field.includes('.'));
  }),
  byWatch('gsv-part-lost', 'bad', (note) => {
    /** The last part of each list, by talker and signal. */
    const lists = new Map<string, { total: number; number: number }>();
    return {
      of: {
        GSV: ({ piece, decoded, sentence }) => {
          if (decoded?.of !== 'GSV' || decoded.total === null || decoded.number === null) return;
          const { total, number } = decoded;
          const key = sentence.talker;
          const before = lists.get(key);
          lists.set(key, { total, number });
          if (before === undefined) return;
          const isNext = number === before.number + 1 && total === before.total;
          const isNew = number === 1 && before.number === before.total;
          if (!isNext && !isNew) note(piece);
        },
      },
    };
  }),
  byEpoch('same-id-two-systems', 'remark', (epoch) => {
    const talkers = new Map<string, string>();
    return heardOf(epoch, ['GSV'], ({ satellites }) => {
      return satellites.some(({ talker, id }) => {
        const other = talkers.get(id);
        talkers.set(id, talker);
        return other !== undefined && other !== talker;
      });
    });
  }),
  bySentence('three-digit-ids', 'remark', ['GSV', 'GSA'], (words) => {
    if (words.of === 'GSA') return words.ids.some((id) => id.length > 2);
    return words.satellites.some(({ id }) => id.length > 2);
  }),
  byEpoch('used-exceeds-view', 'bad', (epoch) => {
    const { isValid, used, inView } = epoch;
    const isMore = isValid === true && used !== null && inView !== null && used > inView;
    return isMore ? (heardOf(epoch, ['GGA', 'GNS']) ?? heardOf(epoch, ['GSA'])) : null;
  }),
  byEpoch('gga-count-capped', 'remark', (epoch) => {
    const isCapped = epoch.used === PLACES && epoch.usedIds.length > PLACES;
    return isCapped ? heardOf(epoch, ['GGA', 'GNS']) : null;
  }),
  byWatch('talker-switch', 'remark', (note) => {
    let before: string | null = null;
    return {
      of: {
        RMC: ({ piece, sentence: { talker } }) => {
          if (before !== null && before !== talker) note(piece);
          before = talker;
        },
      },
    };
  }),
];
