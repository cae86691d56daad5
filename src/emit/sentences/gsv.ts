import type { SatelliteInView } from '../../sim/epoch.js';
import type { Band } from '../../sim/signal/signal-kind.js';
import { frame } from './checksum.js';
import { padded, two } from './fields.js';
import { FIRST_SIGNAL_IDS, GROUP_COUNT } from './groups.js';
import type { Layout, Listed } from './layout.js';
import type { ReportText } from './report-text.js';
import { SIGNAL_ID_END, signalId } from './signal-id.js';

/** Text of every elevation, azimuth and tenth of C/N0, since each is written some fifty times an epoch. */
const ELEVATIONS = Array.from({ length: 181 }, (_, i) => (i < 90 ? `-${two(90 - i)}` : two(i - 90)));
const AZIMUTHS = Array.from({ length: 361 }, (_, deg) => padded(deg % 360, 3));
const TENTHS = Array.from({ length: 1000 }, (_, tenth) => `${two(Math.floor(tenth / 10))}.${tenth % 10}`);

const BAND_RANK: Readonly<Record<Band, number>> = { L1: 1, L2: 2, L5: 3 };
const NO_RANK = 9;

/** The satellites of one group with one signal. Kept from epoch to epoch: only `count` of the entries count. */
interface Listing {
  count: number;
  readonly entries: string[];
}

/** By group and signal id. Empty between two calls. */
const LISTINGS: readonly Listing[] = Array.from({ length: GROUP_COUNT * SIGNAL_ID_END }, () => ({
  count: 0,
  entries: [],
}));
/** By group: id and rank of the band of its first signal that is tracked, and satellites in view. */
const firstIds = new Int32Array(GROUP_COUNT);
const firstRanks = new Int32Array(GROUP_COUNT);
const inViewCounts = new Int32Array(GROUP_COUNT);
/** How each satellite in view is listed, looked up once. */
const listed: Listed[] = [];

/**
 * GSV: satellites in view with elevation and azimuth in whole degrees and C/N0, four to a sentence, each system under
 * its own talker. From 4.10 all in view stand under the system's first signal, with blank C/N0 where they are not
 * tracked on it, and again under each other signal on which they are tracked. A system that the receiver has, but no
 * satellite in view of, has one with the count 00, or none.
 */
export function gsv(text: ReportText): void {
  const { report, layout, style } = text;
  const announced = style.gsvWhenNone === 'count-00' ? text.groups : 0;
  const { inView } = report;
  lookUp(inView, layout);
  for (let i = 0; i < inView.length; i++) list(inView[i] as SatelliteInView, listed[i] as Listed, layout);
  for (let group = 0; group < GROUP_COUNT; group++) {
    const inViewCount = inViewCounts[group] as number;
    if (inViewCount > 0 || announced & (1 << group)) sendGroup(text, group, inViewCount);
    for (let id = 0; id < SIGNAL_ID_END; id++) listing(group, id).count = 0;
    inViewCounts[group] = 0;
  }
}

/** Looks every satellite up, and finds each group's first signal. */
function lookUp(inView: readonly SatelliteInView[], layout: Layout): void {
  for (let group = 0; group < GROUP_COUNT; group++) {
    firstIds[group] = FIRST_SIGNAL_IDS[group] as number;
    firstRanks[group] = NO_RANK;
  }
  for (let i = 0; i < inView.length; i++) {
    const { id, signals } = inView[i] as SatelliteInView;
    const how = layout.satellite(id);
    const { group } = how;
    listed[i] = how;
    if (!layout.hasIds) continue;
    for (let k = 0; k < signals.length; k++) {
      const { kind } = signals[k] as SatelliteInView['signals'][number];
      const rank = BAND_RANK[kind.band];
      if (rank >= (firstRanks[group] as number)) continue;
      firstRanks[group] = rank;
      firstIds[group] = signalId(kind.system, kind.name);
    }
  }
}

function listing(group: number, id: number): Listing {
  return LISTINGS[group * SIGNAL_ID_END + id] as Listing;
}

function list(satellite: SatelliteInView, { number, group }: Listed, layout: Layout): void {
  const { elevationDeg, azimuthDeg, cn0DbHz, signals } = satellite;
  const elevation = elevationDeg === null ? '' : (ELEVATIONS[Math.round(elevationDeg) + 90] as string);
  const azimuth = azimuthDeg === null ? '' : (AZIMUTHS[Math.round(azimuthDeg)] as string);
  const start = `,${number},${elevation},${azimuth},`;
  (inViewCounts[group] as number)++;
  if (!layout.hasIds) {
    add(listing(group, firstIds[group] as number), start + cn0Text(cn0DbHz, layout));
    return;
  }
  const firstId = firstIds[group] as number;
  let first: number | null = null;
  for (let k = 0; k < signals.length; k++) {
    const { kind, cn0DbHz: signalCn0DbHz } = signals[k] as SatelliteInView['signals'][number];
    const signal = signalId(kind.system, kind.name);
    if (signal === firstId) first = signalCn0DbHz;
    else add(listing(group, signal), start + cn0Text(signalCn0DbHz, layout));
  }
  add(listing(group, firstId), start + cn0Text(first, layout));
}

function add(into: Listing, entry: string): void {
  into.entries[into.count++] = entry;
}

function cn0Text(cn0DbHz: number | null, { style }: Layout): string {
  if (cn0DbHz === null) return style.untrackedCn0;
  if (style.cn0Decimals === 0) return two(Math.min(99, Math.max(0, Math.round(cn0DbHz))));
  return TENTHS[Math.min(999, Math.max(0, Math.round(cn0DbHz * 10)))] as string;
}

function sendGroup(text: ReportText, group: number, inViewCount: number): void {
  const { layout, style } = text;
  const places = layout.gsvPlaces(group);
  const firstId = firstIds[group] as number;
  const isRunning = style.gsvSequence === 'running';
  let total = 0;
  for (let id = 0; id < SIGNAL_ID_END && isRunning; id++) total += Math.ceil(listing(group, id).count / places);
  const running = isRunning ? Math.max(1, total) : null;
  let number = send(text, group, firstId, 0, running, inViewCount, places);
  for (let id = 0; id < SIGNAL_ID_END; id++) {
    const { count } = listing(group, id);
    if (id === firstId || count === 0) continue;
    number = send(text, group, id, isRunning ? number : 0, running, isRunning ? inViewCount : count, places);
  }
}

/**
 * Sends the sentences of one signal.
 * @param before sentences of the sequence that are sent already
 * @param running length of the sequence; null: this signal is one of its own
 * @returns sentences of the sequence that are sent now
 */
function send(
  text: ReportText,
  group: number,
  id: number,
  before: number,
  running: number | null,
  inViewCount: number,
  places: number,
): number {
  const { layout, style, sentences } = text;
  const { count, entries } = listing(group, id);
  const own = Math.max(1, Math.ceil(count / places));
  const head = `${layout.talkers[group]}GSV,${running ?? own},`;
  const seen = `,${two(Math.min(99, inViewCount))}`;
  const signal = layout.signalField(group, id);
  for (let k = 0; k < own; k++) {
    let body = head + (before + k + 1) + seen;
    const end = Math.min(count, (k + 1) * places);
    for (let i = k * places; i < end; i++) body += entries[i];
    if (style.padGsv) for (let i = end - k * places; i < places; i++) body += ',,,,';
    sentences.push(frame(body + signal));
  }
  return before + own;
}
