import { KNOT_MPS } from '../../base/constants.js';
import type { Report } from '../../sim/epoch.js';
import { frame } from './checksum.js';
import { bearing, degreesMinutes, fixed, padded, timeAndDate, two } from './fields.js';
import { groupsOfReport, talkerOf } from './groups.js';
import { GSA_PLACES, type Layout, layoutOf } from './layout.js';
import type { SentenceStyle } from './style.js';

/** Satellites used as one GSA, and one GRS, has them. */
export interface UsedBlock {
  /** Null: of all groups. */
  readonly group: number | null;
  /** Places in the report's `used`. */
  readonly places: readonly number[];
}

/** The fields that several sentences share, written once an epoch, and what is sent so far. */
export class ReportText {
  readonly report: Report;
  readonly style: SentenceStyle;
  readonly layout: Layout;
  /** Sentences written so far, `$…*hh`. */
  readonly sentences: string[] = [];
  /** The groups that the receiver has, as bits. */
  readonly groups: number;
  readonly talker: string;
  /** `hhmmss.ss`, or blank. */
  readonly time: string;
  /** `ddmmyy`, or blank. */
  readonly date: string;
  readonly day: string;
  readonly month: string;
  readonly year: string;
  /** `ddmm.mmmm,N,dddmm.mmmm,E`, or three commas. */
  readonly position: string;
  readonly courseDeg: string;
  readonly speedKn: string;
  readonly hdop: string;
  readonly vdop: string;
  readonly pdop: string;
  /** Number of satellites used, two digits. */
  readonly used: string;
  /** `,A`: the mode where the version has it, with the comma before it. */
  readonly mode: string;
  /** `,V`: navigational status not provided, where the version has it. */
  readonly navStatus: string;
  #usedBlocks: readonly UsedBlock[] | null = null;

  constructor(report: Report, style: SentenceStyle) {
    const layout = layoutOf(style);
    this.report = report;
    this.style = style;
    this.layout = layout;
    this.groups = groupsOfReport(report, style);
    this.talker = talkerFor(report, this.groups, layout);
    const { secondDecimals, minuteDecimals, leadingZeros, carry } = style;
    const clock = report.utc === null ? null : timeAndDate(report.utc, secondDecimals, report.utcMinuteS, carry);
    const date = report.dateKnown ? clock : null;
    this.time = clock === null ? '' : clock.time;
    this.day = date === null ? '' : two(date.day);
    this.month = date === null ? '' : two(date.month);
    this.year = date === null ? '' : String(date.year);
    this.date = date === null ? '' : this.day + this.month + two(date.year % 100);
    const latitude = degreesMinutes(report.latitudeDeg, 2, minuteDecimals, 'N', 'S', leadingZeros, carry);
    const longitude = degreesMinutes(report.longitudeDeg, 3, minuteDecimals, 'E', 'W', leadingZeros, carry);
    this.position = `${latitude},${longitude}`;
    const { speedMps } = report;
    this.speedKn = speedMps === null ? '' : fixed(speedMps / KNOT_MPS, style.speedDecimals);
    this.courseDeg = bearing(report.courseDeg, style.courseDecimals);
    this.hdop = dilution(report.hdop, style);
    this.vdop = dilution(report.vdop, style);
    this.pdop = dilution(report.pdop, style);
    const used = report.used.length;
    this.used = two(Math.min(used, style.capUsed ? GSA_PLACES : 99));
    this.mode = layout.hasMode ? `,${report.mode}` : '';
    this.navStatus = layout.hasIds ? ',V' : '';
  }

  /** Sends a sentence under the module's talker. */
  send(body: string): void {
    this.sentences.push(frame(this.talker + body));
  }

  /** Sends a sentence with as many decimals, up to so many, as leave it short enough. */
  sendFitting(decimals: number, body: (decimals: number) => string): void {
    let text = this.talker + body(decimals);
    for (let fewer = decimals - 1; fewer >= 0 && !this.layout.fits(text); fewer--) text = this.talker + body(fewer);
    this.sentences.push(frame(text));
  }

  /** `10,0120`: age of the differential corrections, whole s, and who sent them; or a comma. */
  get differential(): string {
    const { differential } = this.report;
    return differential === null ? ',' : `${fixed(differential.ageS, 0)},${padded(differential.station, 4)}`;
  }

  /** The satellites used, divided as the style has it; each group of the receiver has a block, be it empty. */
  usedBlocks(): readonly UsedBlock[] {
    if (this.#usedBlocks === null) {
      const { report, layout, groups, style } = this;
      this.#usedBlocks = style.gsa === 'combined' ? combined(report, layout, groups) : bySystem(report, layout, groups);
    }
    return this.#usedBlocks;
  }
}

function talkerFor(report: Report, groups: number, layout: Layout): string {
  const { style } = layout;
  if (style.talker !== 'auto' && style.talker !== 'used') return style.talker;
  let bits = groups;
  if (style.talker === 'used' && report.used.length > 0) {
    bits = 0;
    for (const id of report.used) bits |= 1 << layout.satellite(id).group;
  }
  return talkerOf(bits, style);
}

function bySystem(report: Report, layout: Layout, groups: number): UsedBlock[] {
  const places: number[][] = [[], [], [], [], [], []];
  report.used.forEach((id, place) => {
    (places[layout.satellite(id).group] as number[]).push(place);
  });
  const blocks: UsedBlock[] = [];
  places.forEach((list, group) => {
    if (list.length > 0 || groups & (1 << group)) cut(list, group, layout, blocks);
  });
  return blocks;
}

function combined(report: Report, layout: Layout, groups: number): UsedBlock[] {
  const blocks: UsedBlock[] = [];
  // Of one system alone there is nothing to combine: its id can be told.
  const only = Math.log2(groups);
  const group = Number.isInteger(only) ? only : null;
  cut(
    report.used.map((_, place) => place),
    group,
    layout,
    blocks,
  );
  return blocks;
}

function cut(list: readonly number[], group: number | null, layout: Layout, blocks: UsedBlock[]): void {
  const size = layout.gsaPlaces(group);
  for (let from = 0; from === 0 || from < list.length; from += size) {
    blocks.push({ group, places: list.slice(from, from + size) });
  }
}

function dilution(value: number | null, { unknownDop, dopDecimals }: SentenceStyle): string {
  if (value === null) return unknownDop;
  // The largest with two digits before the point: 99.99, or 99.9 with one decimal.
  const largest = 100 - 10 ** -dopDecimals;
  return fixed(Math.min(value, largest), dopDecimals);
}
