import { gpsFromUtc, type Utc } from '../base/time.js';
import { utcOfMs } from '../base/utc-ms.js';
import type { HeardEpoch } from '../grammar/heard-epoch.js';
import type { SatelliteInView } from '../sim/epoch.js';
import { NO_FIX } from '../sim/receiver/report.js';
import type { RecordedEpoch, RecordedView } from '../truth/recorded-epoch.js';

/** Where and when an epoch of a recording is. */
export interface RecordedMoment {
  readonly index: number;
  readonly atMs: number;
  /** By the recording's own time line, ms since 1970-01-01. */
  readonly utcMs: number;
  /** What it says of times is moved by so much, ms. */
  readonly shiftMs: number;
}

/** An epoch of a recording, from what its sentences say; null: they say nothing. */
export function recordedEpoch(moment: RecordedMoment, heard: HeardEpoch | null): RecordedEpoch {
  const { index, atMs, utcMs, shiftMs } = moment;
  const utc = utcOfMs(utcMs);
  return {
    index,
    atMs,
    gpsTime: gpsFromUtc(utc),
    utc,
    truth: null,
    report: heard === null ? NOTHING : viewOf(heard, utc, shiftMs),
    receiverClock: null,
    satellites: [],
    observations: [],
  };
}

const NOTHING: RecordedView = {
  ...NO_FIX,
  systemModes: {},
  utc: null,
  utcMinuteS: 60,
  timeKnown: false,
  dateKnown: false,
  inView: [],
};

function viewOf(heard: HeardEpoch, now: Utc, shiftMs: number): RecordedView {
  const { isValid, quality, status, timeOfDayMs, date } = heard;
  const hasFix = isValid ?? false;
  return {
    ...NOTHING,
    fix: fixOf(heard),
    quality: quality ?? (hasFix ? 1 : 0),
    mode: modeOf(heard),
    status: status === 'A' || (status === null && hasFix) ? 'A' : 'V',
    utc: utcIn(heard, now, shiftMs),
    timeKnown: timeOfDayMs !== null,
    dateKnown: date !== null,
    latitudeDeg: heard.latitudeDeg,
    longitudeDeg: heard.longitudeDeg,
    altitudeMslM: heard.altitudeMslM,
    geoidSeparationM: heard.geoidSeparationM,
    speedMps: heard.speedMps,
    courseDeg: heard.courseDeg,
    hdop: heard.hdop,
    vdop: heard.vdop,
    pdop: heard.pdop,
    used: usedOf(heard),
    inView: inViewOf(heard),
  };
}

/** What it says of the time; a time without a date is one of the present day. */
function utcIn({ utcMs, timeOfDayMs }: HeardEpoch, { year, month, day }: Utc, shiftMs: number): Utc | null {
  if (utcMs !== null) return utcOfMs(utcMs + shiftMs);
  return timeOfDayMs === null ? null : { ...utcOfMs(timeOfDayMs + shiftMs), year, month, day };
}

/** By GSA; else a valid fix with a height is one of three dimensions. */
function fixOf({ fix, isValid, altitudeMslM }: HeardEpoch): RecordedView['fix'] {
  if (isValid === false) return 'none';
  if (fix !== null) return fix;
  if (isValid === null) return 'none';
  return altitudeMslM === null ? '2d' : '3d';
}

/** One letter; of GNS, which has one a system, the first that is not N. */
function modeOf({ mode, isValid }: HeardEpoch): string {
  if (mode === null) return isValid === true ? 'A' : 'N';
  return /[^N]/.exec(mode)?.[0] ?? 'N';
}

/** The satellites named, talker first; as many as GGA or GNS count, whatever names there are. */
function usedOf({ used, usedIds }: HeardEpoch): string[] {
  const names = usedIds.map(({ talker, system, id }) => `${talker}${system === null ? '' : `/${system}`}/${id}`);
  return padded(names, used, (index) => `?/${index + 1}`);
}

/** The satellites listed, each once; as many as GSV counts. */
function inViewOf({ satellites, inView }: HeardEpoch): SatelliteInView[] {
  const listed = new Map<string, SatelliteInView>();
  for (const { talker, id, azimuthDeg, elevationDeg, cn0DbHz } of satellites) {
    const name = `${talker}/${id}`;
    // The first signal that is tracked tells.
    const known = listed.get(name);
    if (known === undefined) listed.set(name, { id: name, azimuthDeg, elevationDeg, cn0DbHz, signals: [] });
    else if (known.cn0DbHz === null) listed.set(name, { ...known, cn0DbHz });
  }
  const unnamed = { azimuthDeg: null, elevationDeg: null, cn0DbHz: null, signals: [] };
  return padded([...listed.values()], inView, (index) => ({ id: `?/${index + 1}`, ...unnamed }));
}

/** More than a byte can count is no count. */
const MOST_COUNTED = 255;

function padded<T>(items: readonly T[], count: number | null, fill: (index: number) => T): T[] {
  const length = Math.min(count ?? items.length, MOST_COUNTED);
  return Array.from({ length }, (_, index) => items[index] ?? fill(index));
}
