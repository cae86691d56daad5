import { SECONDS_PER_DAY, SECONDS_PER_WEEK } from '../../base/constants.js';
import { LodestubError } from '../../base/error.js';
import { addSeconds, formatUtc, type GpsTime, secondsBetween, utcFromGps } from '../../base/time.js';
import type { BroadcastRecord } from './broadcast-record.js';
import { InterpolatedOrbit } from './interpolated-orbit.js';
import { movedRecord, orbitClassOf } from './kepler-record.js';
import type { Satellite } from './orbit.js';
import { RecordBroadcast, validityBeforeS, validityS } from './record-broadcast.js';
import type { NavigationFile } from './rinex/navigation-file.js';
import type { SystemName } from './system.js';
import { typicalTravelS } from './travel-time.js';

/** The run that the sky is for. */
export interface NavigationRun {
  readonly start: GpsTime;
  /** s; Infinity: no end, and only the start must be covered. */
  readonly durationS: number;
  /** Whether the file's sky may be moved to the run's date. */
  readonly shift: boolean;
  /** For messages. */
  readonly name: string;
  readonly systems: readonly SystemName[];
}

/**
 * The satellites of a navigation file. With `shift` a file that does not cover the run is moved by whole days, so that
 * the time of day stays: by whole weeks where those cover the run about as well, so that the time of the week stays
 * too, else to the day on which most satellites send.
 * @throws LodestubError `navigation.empty` without a record of these systems; `navigation.coverage`
 */
export function navigationSatellites(file: Pick<NavigationFile, 'records'>, run: NavigationRun): Satellite[] {
  const bySatellite = new Map<string, BroadcastRecord[]>();
  for (const record of file.records) {
    if (!run.systems.includes(record.system)) continue;
    const known = bySatellite.get(record.id);
    if (known === undefined) bySatellite.set(record.id, [record]);
    else known.push(record);
  }
  if (bySatellite.size === 0) {
    const found = [...new Set(file.records.map(({ system }) => system))].join(', ');
    throw new LodestubError({
      code: 'navigation.empty',
      path: run.name,
      expected: `records of ${run.systems.join(', ')}`,
      received: found === '' ? 'none' : `those of ${found}`,
    });
  }
  const groups = [...bySatellite.values()];
  const shiftS = shiftOf(groups, run);
  return groups.map((records) =>
    satelliteOf(shiftS === 0 ? records : records.map((record) => movedRecord(record, -shiftS)), run.start),
  );
}

function satelliteOf(records: readonly BroadcastRecord[], start: GpsTime): Satellite {
  const [record] = records as [BroadcastRecord];
  const { id, system } = record;
  const broadcast = new RecordBroadcast(records, start);
  const orbitClass = record.kind === 'kepler' ? orbitClassOf(record) : system === 'sbas' ? 'geo' : 'meo';
  return {
    id,
    system,
    number: Number(id.slice(1)),
    orbitClass,
    frequencyNumber: record.kind === 'state' ? record.frequencyNumber : 0,
    orbit: new InterpolatedOrbit((sinceStartS) => broadcast.orbitAt(sinceStartS)),
    broadcast,
    statusAt: (sinceStartS) => broadcast.statusAt(sinceStartS),
    travelS: typicalTravelS(record.kind === 'kepler' ? record.rootSemiMajor ** 2 : Math.hypot(...record.positionM)),
  };
}

/** A time without a gap in which some satellite's record is in force, s after the run's start. */
interface Span {
  readonly fromS: number;
  untilS: number;
}

/** The times that a file covers, ascending; a stray record makes one of its own. */
function spansOf(groups: readonly (readonly BroadcastRecord[])[], start: GpsTime): Span[] {
  const single = groups.flat().map((record): Span => {
    const toeS = secondsBetween(record.toe, start);
    return { fromS: toeS - validityBeforeS(record), untilS: toeS + validityS(record) };
  });
  single.sort((a, b) => a.fromS - b.fromS);
  const spans: Span[] = [];
  for (const span of single) {
    const last = spans.at(-1);
    if (last !== undefined && span.fromS <= last.untilS) last.untilS = Math.max(last.untilS, span.untilS);
    else spans.push(span);
  }
  return spans;
}

/**
 * By how much the file's time is ahead of the run's, s: whole days, 0 where the file covers the run's start and end.
 */
function shiftOf(groups: readonly (readonly BroadcastRecord[])[], run: NavigationRun): number {
  const spans = spansOf(groups, run.start);
  const lastS = Number.isFinite(run.durationS) ? run.durationS : 0;
  const covers = (tS: number) => spans.some(({ fromS, untilS }) => fromS <= tS && tS <= untilS);
  if (covers(0) && covers(lastS)) return 0;
  if (!run.shift) throw notCovered(spans, run, 'Set sky.shift: true to move the file’s sky to this date.');
  const broadcasts = groups.map((records) => new RecordBroadcast(records, run.start));
  const sending = (tS: number) => broadcasts.filter((broadcast) => broadcast.statusAt(tS) !== 'absent').length;
  const firstDay = Math.ceil((spans[0]?.fromS ?? 0) / SECONDS_PER_DAY);
  const lastDay = Math.floor(((spans.at(-1)?.untilS ?? 0) - lastS) / SECONDS_PER_DAY);
  let best = { shiftS: 0, count: 0 };
  let bestWeek = best;
  for (let day = firstDay; day <= lastDay; day++) {
    const shiftS = day * SECONDS_PER_DAY;
    const found = { shiftS, count: Math.min(sending(shiftS), sending(shiftS + lastS)) };
    if (found.count > best.count) best = found;
    if (shiftS % SECONDS_PER_WEEK === 0 && found.count > bestWeek.count) bestWeek = found;
  }
  if (best.count === 0) {
    throw notCovered(spans, run, 'Make the run shorter, or start at a time of day that the file covers.');
  }
  return bestWeek.count >= ABOUT_AS_WELL * best.count ? bestWeek.shiftS : best.shiftS;
}

/** A shift by whole weeks may have this share of the satellites that the best day has. */
const ABOUT_AS_WELL = 0.8;

/** So many spans are shown in a message. */
const SHOWN_SPANS = 3;

function notCovered(spans: readonly Span[], run: NavigationRun, hint: string): LodestubError {
  const shown = (sinceStartS: number) =>
    formatUtc(utcFromGps(addSeconds(run.start, sinceStartS))).replace('.000Z', 'Z');
  const covered = spans.slice(0, SHOWN_SPANS).map(({ fromS, untilS }) => `${shown(fromS)} to ${shown(untilS)}`);
  const more = spans.length > SHOWN_SPANS ? ` and ${spans.length - SHOWN_SPANS} more` : '';
  const end = Number.isFinite(run.durationS) ? ` to ${shown(run.durationS)}` : '';
  return new LodestubError({
    code: 'navigation.coverage',
    path: run.name,
    expected: `a run within the file’s time, ${covered.join(' or ')}${more}`,
    received: `${shown(0)}${end}`,
    hint,
  });
}
