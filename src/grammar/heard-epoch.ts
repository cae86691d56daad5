import { dayNumberOf } from '../base/time.js';
import { DAY_MS, type Decoded, decode, type ListedSatellite, type QualityWords, type TextDate } from './decode.js';
import { parseSentence, type Sentence } from './sentence.js';
import type { Piece } from './splitter.js';

/** A sentence as it was heard: where it stands, taken apart, and what it says. */
export interface Heard {
  readonly piece: Piece;
  readonly sentence: Sentence;
  readonly decoded: Decoded | null;
}

/** A satellite that an epoch lists, on one signal. */
export interface HeardSatellite extends ListedSatellite {
  readonly talker: string;
  /** Signal id as it stands; null: none is given. */
  readonly signal: string | null;
}

/** What the sentences of one navigation epoch say together; null: none of them tells. */
export interface HeardEpoch {
  /** From 0. */
  readonly index: number;
  readonly sentences: readonly Heard[];
  readonly timeOfDayMs: number | null;
  readonly date: TextDate | null;
  /**
   * UTC as ms since 1970-01-01, from date and time of this epoch's own sentences. Second 60 is the first one of the
   * next day here.
   */
  readonly utcMs: number | null;
  /** A valid fix: by RMC or GLL, else by GGA or GNS, else by GSA. */
  readonly isValid: boolean | null;
  readonly fix: 'none' | '2d' | '3d' | null;
  readonly quality: number | null;
  readonly status: string | null;
  readonly mode: string | null;
  readonly latitudeDeg: number | null;
  readonly longitudeDeg: number | null;
  readonly altitudeMslM: number | null;
  readonly geoidSeparationM: number | null;
  readonly speedMps: number | null;
  readonly courseDeg: number | null;
  readonly hdop: number | null;
  readonly vdop: number | null;
  readonly pdop: number | null;
  /** By GGA or GNS; else as many as GSA names. */
  readonly used: number | null;
  /** Satellites that GSA names: talker (or system id, from version 4.1 on) and number. */
  readonly usedIds: readonly { readonly talker: string; readonly system: string | null; readonly id: string }[];
  /** Sum over the talkers of GSV's count; null: no GSV. */
  readonly inView: number | null;
  readonly satellites: readonly HeardSatellite[];
}

/**
 * Joins sentences into navigation epochs: a new one begins where a sentence tells another time of day, or where a
 * sentence comes that this epoch has had already. Sentences whose checksum is wrong belong to none.
 */
export class EpochAssembler {
  readonly #take: (epoch: HeardEpoch) => void;
  #index = 0;
  #sentences: Heard[] = [];
  #timeOfDayMs: number | null = null;
  readonly #seen = new Set<string>();

  constructor(take: (epoch: HeardEpoch) => void) {
    this.#take = take;
  }

  /** @returns the sentence as it was heard, whether it belongs to an epoch or not */
  put(piece: Piece): Heard {
    const sentence = parseSentence(piece.text);
    const decoded = sentence.start === '$' ? decode(sentence) : null;
    const heard: Heard = { piece, sentence, decoded };
    const isSound = sentence.checksum === 'good' || sentence.checksum === 'absent';
    if (decoded === null || decoded.of === 'TXT' || !isSound) return heard;
    const timeMs = 'timeOfDayMs' in decoded ? decoded.timeOfDayMs : null;
    const slot = slotOf(sentence, decoded);
    const isOther = timeMs !== null && this.#timeOfDayMs !== null && timeMs !== this.#timeOfDayMs;
    if (isOther || this.#seen.has(slot)) this.end();
    this.#sentences.push(heard);
    this.#seen.add(slot);
    this.#timeOfDayMs ??= timeMs;
    return heard;
  }

  /** No more sentences belong to the epoch. */
  end(): void {
    const sentences = this.#sentences;
    this.#sentences = [];
    this.#seen.clear();
    this.#timeOfDayMs = null;
    if (sentences.length > 0) this.#take(epochOf(this.#index++, sentences));
  }
}

/** What may come once an epoch. */
function slotOf({ talker, formatter, fields }: Sentence, decoded: Decoded): string {
  if (decoded.of === 'GSV') return `${talker}GSV ${fields[1]} ${decoded.signal ?? ''}`;
  // Several of these come where many satellites are used, a talker and system each.
  if (decoded.of === 'GSA') return `${talker}GSA ${decoded.system ?? ''} ${decoded.ids.join(' ')}`;
  if (decoded.of === 'GRS') return `${talker}GRS ${fields.at(-2)} ${fields.at(-1)}`;
  // RMC under GP and GN in turn is one and the same.
  return formatter;
}

function epochOf(index: number, sentences: readonly Heard[]): HeardEpoch {
  const all = sentences.map(({ decoded }) => decoded as Decoded);
  const of = <Name extends Decoded['of']>(name: Name) =>
    all.filter((each): each is Extract<Decoded, { of: Name }> => each.of === name);
  const gga = of('GGA')[0] ?? of('GNS')[0];
  const [rmc] = of('RMC');
  const [gll] = of('GLL');
  const [vtg] = of('VTG');
  const [zda] = of('ZDA');
  const gsa = sentences.flatMap(({ decoded, sentence }) =>
    decoded?.of === 'GSA' ? [{ ...decoded, talker: sentence.talker }] : [],
  );
  const place = [gga, rmc, gll].find((each) => each !== undefined && each.latitudeDeg !== null);
  const timeOfDayMs = first(all.map((each) => ('timeOfDayMs' in each ? each.timeOfDayMs : null)));
  const date = rmc?.date ?? zda?.date ?? null;
  const usedIds = gsa.flatMap(({ talker, system, ids }) => ids.map((id) => ({ talker, system, id })));
  const [byGsa] = gsa;
  return {
    index,
    sentences,
    timeOfDayMs,
    date,
    utcMs:
      date === null || timeOfDayMs === null
        ? null
        : dayNumberOf(date.year, date.month, date.day) * DAY_MS + timeOfDayMs,
    isValid: validityOf(rmc?.status ?? gll?.status ?? null, gga, byGsa?.fix ?? null),
    fix: byGsa?.fix ?? null,
    quality: gga?.quality ?? null,
    status: rmc?.status ?? gll?.status ?? null,
    mode: rmc?.mode ?? gll?.mode ?? vtg?.mode ?? gga?.modes ?? null,
    latitudeDeg: place?.latitudeDeg ?? null,
    longitudeDeg: place?.longitudeDeg ?? null,
    altitudeMslM: gga?.altitudeMslM ?? null,
    geoidSeparationM: gga?.geoidSeparationM ?? null,
    speedMps: rmc?.speedMps ?? vtg?.speedMps ?? null,
    courseDeg: rmc?.courseDeg ?? vtg?.courseDeg ?? null,
    hdop: gga?.hdop ?? byGsa?.hdop ?? null,
    vdop: byGsa?.vdop ?? null,
    pdop: byGsa?.pdop ?? null,
    used: gga?.used ?? (gsa.length > 0 ? usedIds.length : null),
    usedIds,
    ...inViewOf(sentences),
  };
}

function validityOf(
  status: string | null,
  gga: QualityWords<'GGA' | 'GNS'> | undefined,
  fix: string | null,
): boolean | null {
  if (status !== null) return status === 'A';
  if (gga?.quality !== null && gga?.quality !== undefined) return gga.quality > 0;
  if (gga?.modes !== null && gga?.modes !== undefined) return /[^N]/.test(gga.modes);
  return fix === null ? null : fix !== 'none';
}

function inViewOf(sentences: readonly Heard[]): Pick<HeardEpoch, 'inView' | 'satellites'> {
  const counts = new Map<string, number>();
  const satellites: HeardSatellite[] = [];
  for (const { sentence, decoded } of sentences) {
    if (decoded?.of !== 'GSV') continue;
    const { talker } = sentence;
    counts.set(talker, Math.max(counts.get(talker) ?? 0, decoded.inView ?? 0));
    for (const each of decoded.satellites) satellites.push({ ...each, talker, signal: decoded.signal });
  }
  const inView = counts.size === 0 ? null : [...counts.values()].reduce((sum, count) => sum + count, 0);
  return { inView, satellites };
}

function first<T>(values: readonly (T | null)[]): T | null {
  return values.find((value) => value !== null) ?? null;
}
