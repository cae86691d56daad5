import { laterOfDay } from '../base/step-of-day.js';
import { dateOfDay } from '../base/time.js';
import { dayOf, utcMsAt } from '../base/utc-ms.js';
import type { Decoded, ListedSatellite, QualityWords, TextDate } from './decode.js';
import type { Heard, HeardEpoch } from './heard-epoch.js';

type Of<Name extends Decoded['of']> = Extract<Decoded, { of: Name }>;

/** The first sentence of each kind, and all that there may be several of. */
interface Sorted {
  gga: QualityWords<'GGA' | 'GNS'> | null;
  gns: QualityWords<'GNS'> | null;
  rmc: Of<'RMC'> | null;
  gll: Of<'GLL'> | null;
  vtg: Of<'VTG'> | null;
  zda: Of<'ZDA'> | null;
  gsa: Of<'GSA'> | null;
  fix: HeardEpoch['fix'];
  timeOfDayMs: number | null;
  readonly usedIds: HeardEpoch['usedIds'][number][];
  readonly inView: Map<string, number>;
  readonly satellites: ListedSatellite[];
}

/** What the sentences of one epoch say together. */
export function epochOf(index: number, sentences: readonly Heard[]): HeardEpoch {
  const { gga, rmc, gll, vtg, zda, gsa, fix, timeOfDayMs, usedIds, inView, satellites } = sorted(sentences);
  const date = dateAt(rmc, timeOfDayMs) ?? dateAt(zda, timeOfDayMs);
  const places = [gga, rmc, gll].filter((each) => each !== null && each.latitudeDeg !== null);
  // What is stale tells where the antenna was.
  const place = places.find((each) => each?.timeOfDayMs === timeOfDayMs) ?? places[0];
  const status = rmc?.status ?? gll?.status ?? null;
  let inViewCount: number | null = null;
  for (const count of inView.values()) inViewCount = (inViewCount ?? 0) + count;
  return {
    index,
    sentences,
    timeOfDayMs,
    date,
    utcMs: date === null || timeOfDayMs === null ? null : utcMsAt(date, timeOfDayMs),
    isValid: validityOf(status, gga, fix),
    fix,
    quality: gga?.quality ?? null,
    status,
    mode: rmc?.mode ?? gll?.mode ?? vtg?.mode ?? gga?.modes ?? null,
    latitudeDeg: place?.latitudeDeg ?? null,
    longitudeDeg: place?.longitudeDeg ?? null,
    altitudeMslM: gga?.altitudeMslM ?? null,
    geoidSeparationM: gga?.geoidSeparationM ?? null,
    speedMps: rmc?.speedMps ?? vtg?.speedMps ?? null,
    courseDeg: rmc?.courseDeg ?? vtg?.courseDeg ?? null,
    hdop: gga?.hdop ?? gsa?.hdop ?? null,
    vdop: gsa?.vdop ?? null,
    pdop: gsa?.pdop ?? null,
    used: gga?.used ?? (gsa === null ? null : usedIds.length),
    usedIds,
    inView: inViewCount,
    satellites,
  };
}

function sorted(sentences: readonly Heard[]): Sorted {
  const found: Sorted = {
    gga: null,
    gns: null,
    rmc: null,
    gll: null,
    vtg: null,
    zda: null,
    gsa: null,
    fix: null,
    timeOfDayMs: null,
    usedIds: [],
    inView: new Map(),
    satellites: [],
  };
  for (let i = 0; i < sentences.length; i++) sort(sentences[i] as Heard, found);
  found.gga ??= found.gns;
  return found;
}

const FIX_RANK = { none: 0, '2d': 1, '3d': 2 } as const;

function sort({ decoded, sentence }: Heard, found: Sorted): void {
  if (decoded === null) return;
  if ('timeOfDayMs' in decoded && decoded.timeOfDayMs !== null) {
    found.timeOfDayMs = laterOfDay(found.timeOfDayMs, decoded.timeOfDayMs);
  }
  switch (decoded.of) {
    case 'GGA':
      found.gga ??= decoded;
      break;
    case 'GNS':
      found.gns ??= decoded;
      break;
    case 'RMC':
      found.rmc ??= decoded;
      break;
    case 'GLL':
      found.gll ??= decoded;
      break;
    case 'VTG':
      found.vtg ??= decoded;
      break;
    case 'ZDA':
      found.zda ??= decoded;
      break;
    case 'GSA':
      found.gsa ??= decoded;
      // A system that is not used may say so in its own.
      if (decoded.fix !== null && (found.fix === null || FIX_RANK[decoded.fix] > FIX_RANK[found.fix])) {
        found.fix = decoded.fix;
      }
      for (const id of decoded.ids) found.usedIds.push({ talker: sentence.talker, system: decoded.system, id });
      break;
    case 'GSV': {
      const { inView, satellites } = found;
      inView.set(sentence.talker, Math.max(inView.get(sentence.talker) ?? 0, decoded.inView ?? 0));
      for (const satellite of decoded.satellites) satellites.push(satellite);
      break;
    }
    default:
  }
}

/** The date that a sentence tells; where it is stale and midnight has passed since, the next day. */
function dateAt(of: Of<'RMC'> | Of<'ZDA'> | null, timeOfDayMs: number | null): TextDate | null {
  if (of === null || of.date === null) return null;
  const isPast = of.timeOfDayMs !== null && timeOfDayMs !== null && timeOfDayMs < of.timeOfDayMs;
  return isPast ? dateOfDay(dayOf(of.date) + 1) : of.date;
}

/** By RMC's or GLL's status, else by GGA's quality or GNS's modes, else by GSA. */
function validityOf(status: string | null, gga: Sorted['gga'], fix: HeardEpoch['fix']): boolean | null {
  if (status !== null) return status === 'A';
  if (gga !== null && gga.quality !== null) return gga.quality > 0;
  if (gga !== null && gga.modes !== null) return /[^N]/.test(gga.modes);
  return fix === null ? null : fix !== 'none';
}
