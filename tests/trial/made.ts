import type { Evidence, HostReport, TrialEpoch } from '../../src/trial/evidence.js';
import type { RecordedReport } from '../../src/truth/journal-record.js';
import { reportOf, type Said } from './expectations/helper.js';

/** 2026-03-01T12:00:00Z. */
export const START_UTC_MS = Date.UTC(2026, 2, 1, 12);

/** When a made epoch has been told whole, after its time, ms. */
export const TOLD_AFTER_MS = 300;

const REPORT: RecordedReport = {
  ...{ fix: '3d', quality: 1, mode: 'A', status: 'A', utc: null, timeKnown: true, dateKnown: true },
  ...{ latitudeDeg: 47, longitudeDeg: 8, altitudeMslM: 400, geoidSeparationM: 48, speedMps: 0, courseDeg: null },
  ...{ hdop: 1, vdop: 1, pdop: 1.4, used: 8, inView: 10 },
};

/** An epoch a second, with a module that is always right, and what is put in its place. */
export function epochAt(
  index: number,
  more: Partial<TrialEpoch> = {},
  report: Partial<RecordedReport> = {},
): TrialEpoch {
  const atMs = index * 1000;
  const utcMs = START_UTC_MS + atMs;
  return {
    ...{ index, atMs, utcMs, faults: [], toldMs: atMs + TOLD_AFTER_MS },
    truth: {
      ...{ latitudeDeg: 47, longitudeDeg: 8, heightEllipsoidM: 448, altitudeMslM: 400 },
      ...{ speedMps: 0, courseDeg: 0, climbMps: 0 },
    },
    report: { ...REPORT, utc: new Date(utcMs).toISOString(), ...report },
    ...more,
  };
}

/** A report that comes at a time. */
export function saidAt(arrivedMs: number, said: Said, index = 0): HostReport {
  return reportOf(said, index, arrivedMs);
}

/** Evidence of so many seconds, where a value has to be met exactly; all else is empty. */
export function madeEvidence(more: Partial<Evidence> = {}, seconds = 10): Evidence {
  return {
    ...{ startUtcMs: START_UTC_MS, epochMs: 1000, endMs: seconds * 1000, sentences: [], faults: [], portGone: [] },
    ...{ unheard: [], reports: [], bad: [], lines: [], life: [], realMsOf: (simulatedMs: number) => simulatedMs },
    ...{ linesFromMs: 0, restartAfterMs: null },
    epochs: Array.from({ length: seconds }, (_, index) => epochAt(index)),
    ...more,
  };
}
