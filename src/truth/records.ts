import { formatUtc, type Utc } from '../base/time.js';
import { VERSION } from '../base/version.js';
import type { Command, Reply } from '../dialect/command.js';
import type { LineState } from '../emit/line/line.js';
import { countBytes, type Dropped, segmentsOf, type Transmission } from '../emit/line/transmission.js';
import type { Occurrence } from '../faults/occurrence.js';
import type { Surroundings } from '../sim/surroundings.js';
import type { RecordingFacts } from './journal-record.js';
import type { PlayedEpoch } from './recorded-epoch.js';

/** What the journal's first line tells of a run. */
export interface RunFacts {
  readonly title: string;
  readonly seed: number;
  readonly module: string;
  readonly startUtc: Utc;
  readonly baud: number;
  readonly epochMs: number;
  /** The text that the scenario was read from, its file, what was set in their place: the run can be repeated by it. */
  readonly source: object;
  /** What was played in place of a receiver; null: one was simulated. */
  readonly recording?: RecordingFacts | null;
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

export function runRecord(facts: RunFacts): string {
  const { title, seed, module, startUtc, baud, epochMs, source, recording } = facts;
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
    scenario: source,
    recording: recording ?? undefined,
  });
}

/** A navigation epoch; of a recording `truth` is null. */
export function epochRecord(
  epoch: PlayedEpoch,
  faults: readonly string[],
  { baud, load, waitingBytes }: LineState,
): string {
  const { index, atMs, utc, truth, report, receiverClock, satellites } = epoch;
  return JSON.stringify({
    type: 'epoch',
    index,
    atMs: milliseconds(atMs),
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
    receiverClock: receiverClock ?? undefined,
    satellites,
    faults,
    line: { baud, load: Math.round(load * 1000) / 1000, waitingBytes },
  });
}

/** A sentence or bytes that went out; null where power failed before the first byte was whole. */
export function transmissionRecord(transmission: Transmission): string | null {
  const { kind, epoch, text, cause, faults } = transmission;
  if (transmission.segments !== null && countBytes(transmission) === 0) return null;
  const startMs = milliseconds(transmission.startMs);
  const endMs = milliseconds(transmission.endMs);
  const base64 =
    transmission.segments === null ? undefined : base64Of(...segmentsOf(transmission).map(({ bytes }) => bytes));
  if (kind === 'bytes') return JSON.stringify({ type: 'bytes', epoch, startMs, endMs, base64, cause, faults });
  const tellTale = transmission.isProof === true ? (transmission.tellTale ?? undefined) : undefined;
  return JSON.stringify({ type: 'sentence', epoch, text, startMs, endMs, faults, sentBase64: base64, tellTale });
}

function base64Of(...pieces: readonly Uint8Array[]): string {
  let binary = '';
  for (const bytes of pieces) for (const byte of bytes) binary += String.fromCharCode(byte);
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

/** Something on the host's side: `host` came, went, set its speed; `port` went or came back; `control` by hand. */
export function eventRecord(type: 'host' | 'port' | 'control', atMs: number, event: object): string {
  return JSON.stringify({ type, atMs: milliseconds(atMs), ...event });
}

/** Bytes of the host have reached the module, as its UART read them. */
export function heardRecord(atMs: number, bytes: Uint8Array): string {
  return eventRecord('host', atMs, { event: 'bytes', base64: base64Of(bytes) });
}

/** The module's UART runs at another speed from here on. */
export function lineRecord(atMs: number, baud: number): string {
  return JSON.stringify({ type: 'line', atMs: milliseconds(atMs), baud });
}

/** A line that a timeline's `command` repeats as it was: to a sentence without checksum it would add one. */
const TEXT = /^(?!base64:)(?!\$[^*]*$)[\x20-\x7e]+(\r|\n|\r\n)$/;

/** Something came from the host. @param isBusy the module had too much to do, and did nothing about it */
export function commandRecord(atMs: number, command: Command, isBusy: boolean): string {
  const { bytes, verdict, name, replies, actions } = command;
  const text = String.fromCharCode(...bytes.subarray(0, LONGEST_TEXT));
  const isText = verdict !== 'noise' && bytes.length <= LONGEST_TEXT && TEXT.test(text);
  return JSON.stringify({
    type: 'command',
    atMs: milliseconds(atMs),
    text: isText ? text.replace(/[\r\n]+$/, '') : undefined,
    base64: isText ? undefined : base64Of(bytes),
    verdict,
    name: name ?? undefined,
    busy: isBusy || undefined,
    answer: isBusy ? [] : replies.map(replyRecord),
    actions: isBusy ? [] : actions,
  });
}

/** Longer ones are kept as base64: a timeline's `command` has up to 1000 characters. */
const LONGEST_TEXT = 1000;

function replyRecord(reply: Reply): object {
  const { delayMs } = reply;
  if (reply.kind === 'text') return { text: reply.text, delayMs };
  return reply.kind === 'sentence' ? { sentence: reply.sentence, delayMs } : { base64: base64Of(reply.bytes), delayMs };
}

export function endRecord(totals: RunTotals): string {
  return JSON.stringify({ type: 'end', ...totals });
}
