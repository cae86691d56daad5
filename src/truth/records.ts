import { formatUtc, type Utc } from '../base/time.js';
import { VERSION } from '../base/version.js';
import { countBytes, type Dropped, segmentsOf, type Transmission } from '../emit/line/transmission.js';
import type { Occurrence } from '../faults/occurrence.js';
import type { Epoch } from '../sim/epoch.js';
import type { Surroundings } from '../sim/surroundings.js';

/** What the journal's first line tells of a run. */
export interface RunFacts {
  readonly title: string;
  readonly seed: number;
  readonly module: string;
  readonly startUtc: Utc;
  readonly baud: number;
  readonly epochMs: number;
}

/** What the journal's last line counts. */
export interface RunTotals {
  readonly epochs: number;
  readonly sentences: number;
  readonly bytes: number;
  readonly dropped: number;
}

/** Times are written to the microsecond. */
function milliseconds(valueMs: number): number {
  return Math.round(valueMs * 1000) / 1000;
}

export function runRecord({ title, seed, module, startUtc, baud, epochMs }: RunFacts): string {
  return JSON.stringify({
    type: 'run',
    format: 1,
    version: VERSION,
    title,
    seed,
    module,
    startUtc: formatUtc(startUtc),
    baud,
    epochMs,
  });
}

export function epochRecord(epoch: Epoch, faults: readonly string[]): string {
  const { index, atMs, utc, truth, report, receiverClock, satellites } = epoch;
  return JSON.stringify({
    type: 'epoch',
    index,
    atMs,
    utc: formatUtc(utc),
    truth,
    report: {
      fix: report.fix,
      quality: report.quality,
      mode: report.mode,
      status: report.status,
      utc: report.utc === null ? null : formatUtc(report.utc),
      timeKnown: report.timeKnown,
      dateKnown: report.dateKnown,
      latitudeDeg: report.latitudeDeg,
      longitudeDeg: report.longitudeDeg,
      altitudeMslM: report.altitudeMslM,
      geoidSeparationM: report.geoidSeparationM,
      speedMps: report.speedMps,
      courseDeg: report.courseDeg,
      variationDeg: report.variationDeg,
      heading: report.heading,
      hdop: report.hdop,
      vdop: report.vdop,
      pdop: report.pdop,
      used: report.used.length,
      inView: report.inView.length,
      deviation: report.deviation,
      differential: report.differential,
    },
    receiverClock,
    satellites,
    faults,
  });
}

/** A sentence or bytes that went out; null where power failed before the first byte was whole. */
export function transmissionRecord(transmission: Transmission): string | null {
  const { kind, epoch, text, cause, faults } = transmission;
  if (transmission.segments !== null && countBytes(transmission) === 0) return null;
  const startMs = milliseconds(transmission.startMs);
  const endMs = milliseconds(transmission.endMs);
  const base64 = transmission.segments === null ? undefined : base64Of(transmission);
  if (kind === 'bytes') return JSON.stringify({ type: 'bytes', epoch, startMs, endMs, base64, cause, faults });
  return JSON.stringify({ type: 'sentence', epoch, text, startMs, endMs, faults, sentBase64: base64 });
}

function base64Of(transmission: Transmission): string {
  let binary = '';
  for (const { bytes } of segmentsOf(transmission)) for (const byte of bytes) binary += String.fromCharCode(byte);
  return btoa(binary);
}

export function droppedRecord({ epoch, atMs, text, bytes, reason, faults }: Dropped): string {
  return JSON.stringify({ type: 'dropped', epoch, atMs: milliseconds(atMs), text, bytes, reason, faults });
}

export function faultRecord(atMs: number, phase: 'begin' | 'end', { id, kind, settings }: Occurrence): string {
  return JSON.stringify({ type: 'fault', id, kind, phase, atMs: milliseconds(atMs), with: settings });
}

/** The antenna comes into other surroundings, or leaves them. */
export function surroundingsRecord(
  atMs: number,
  phase: 'begin' | 'end',
  id: string,
  surroundings: Surroundings,
): string {
  const { kind, ...measures } = surroundings;
  return JSON.stringify({
    type: 'surroundings',
    id,
    surroundings: kind,
    phase,
    atMs: milliseconds(atMs),
    with: Object.keys(measures).length === 0 ? undefined : measures,
  });
}

/** A host came, went, or set its speed. */
export function hostRecord(atMs: number, event: object): string {
  return JSON.stringify({ type: 'host', atMs: milliseconds(atMs), ...event });
}

export function endRecord(totals: RunTotals): string {
  return JSON.stringify({ type: 'end', ...totals });
}
