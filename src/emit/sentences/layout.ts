import { systemOf } from '../../sim/sky/system.js';
import { BEIDOU_GROUP, GROUP_COUNT, groupOfSystem, groupTalkers } from './groups.js';
import { satelliteNumber } from './satellite-number.js';
import { BEIDOU_B2I_ID, SIGNAL_ID_END, signalId, signalIdText } from './signal-id.js';
import { isFrom, type SentenceStyle } from './style.js';

/** Characters of the longest sentence that the standard allows, `$` and CR LF included (NMEA 0183, from memory). */
export const SENTENCE_MAX = 82;
/** Those of a sentence that stand around its body: `$`, `*hh`, CR LF. */
export const AROUND_BODY = 6;
const BODY_MAX = SENTENCE_MAX - AROUND_BODY;

/** Places of GSA, and satellites of a GSV. */
export const GSA_PLACES = 12;
export const GSV_PLACES = 4;

const BEIDOU_L2_ID = signalId('beidou', 'B3');

/** How a satellite is listed: its number as written, and its group. */
export interface Listed {
  readonly number: string;
  readonly group: number;
}

/** What a style comes to, worked out once. */
export class Layout {
  readonly style: SentenceStyle;
  /** 2.3: mode indicators. */
  readonly hasMode: boolean;
  /** 4.10: navigational status, system and signal ids. */
  readonly hasIds: boolean;
  readonly talkers: readonly string[];
  /** Text of each signal id with the comma before it; blank before 4.10. */
  readonly signalFields: readonly string[];
  readonly #satellites = new Map<string, Listed>();

  constructor(style: SentenceStyle) {
    this.style = style;
    this.hasMode = isFrom(style.version, '2.3');
    this.hasIds = isFrom(style.version, '4.10');
    this.talkers = groupTalkers(style);
    this.signalFields = Array.from({ length: SIGNAL_ID_END }, (_, id) =>
      this.hasIds ? `,${signalIdText(id, style.signalIds)}` : '',
    );
  }

  /** How a satellite is listed. */
  satellite(id: string): Listed {
    let found = this.#satellites.get(id);
    if (found === undefined) {
      found = { number: satelliteNumber(id, this.style), group: groupOfSystem(systemOf(id), this.style) };
      this.#satellites.set(id, found);
    }
    return found;
  }

  /** Text of a signal id of a group in GSV, with the comma before it. */
  signalField(group: number, id: number): string {
    const isB2i = this.style.beidouL2 === 'B2I' && group === BEIDOU_GROUP && id === BEIDOU_L2_ID;
    return this.signalFields[isB2i ? BEIDOU_B2I_ID : id] as string;
  }

  /** Satellites of a group in one GSV: four, or as many as fit. */
  gsvPlaces(group: number): number {
    const { longLines, cn0Decimals } = this.style;
    if (longLines) return GSV_PLACES;
    const entry = ',,90,359,99'.length + this.#digits(group) + (cn0Decimals === 0 ? 0 : 1 + cn0Decimals);
    const fixed = 'GPGSV,99,99,99'.length + (this.hasIds ? ',11'.length : 0);
    return Math.min(GSV_PLACES, Math.floor((BODY_MAX - fixed) / entry));
  }

  /** Satellites in one GSA of a group: twelve, or as many as fit; null: of all groups. */
  gsaPlaces(group: number | null): number {
    const { longLines, dopDecimals, unknownDop } = this.style;
    if (longLines) return GSA_PLACES;
    const groups = group === null ? Array.from({ length: GROUP_COUNT }, (_, i) => i) : [group];
    const digits = Math.max(...groups.map((each) => this.#digits(each)));
    const dop = Math.max('99.'.length + dopDecimals, unknownDop.length);
    const fixed = 'GNGSA,A,3'.length + GSA_PLACES + 3 * (1 + dop) + (this.hasIds ? ',1'.length : 0);
    return Math.min(GSA_PLACES, Math.floor((BODY_MAX - fixed) / digits));
  }

  /** Whether a sentence's body, talker included, is short enough for the style. */
  fits(body: string): boolean {
    return this.style.longLines || body.length <= BODY_MAX;
  }

  /** The most digits that a satellite's number has in a group. */
  #digits(group: number): number {
    const { qzssTalker, qzssIds, sbasIds, galileoIds, beidouIds } = this.style;
    const isQzssLong = qzssIds !== 'local';
    const isLong = [
      sbasIds === '120+' || (qzssTalker === 'GP' && isQzssLong),
      false,
      galileoIds !== 'local',
      beidouIds !== 'local',
      isQzssLong,
      false,
    ];
    return isLong[group] ? 3 : 2;
  }
}

let last: Layout | null = null;

/** The layout of a style; that of the last one asked for is kept. */
export function layoutOf(style: SentenceStyle): Layout {
  if (last === null || last.style !== style) last = new Layout(style);
  return last;
}
