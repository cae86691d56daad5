import { type OpenModuleOptions, openModule, type SatelliteTruth, type Step, type Truth } from '../../src/index.js';

/** The journal as a reader of the file sees it. */
export interface ReportLine {
  readonly fix: 'none' | '2d' | '3d';
  readonly quality: number;
  readonly mode: string;
  readonly status: string;
  readonly utc: string | null;
  readonly timeKnown: boolean;
  readonly dateKnown: boolean;
  readonly latitudeDeg: number | null;
  readonly longitudeDeg: number | null;
  readonly altitudeMslM: number | null;
  readonly geoidSeparationM: number | null;
  readonly speedMps: number | null;
  readonly courseDeg: number | null;
  readonly hdop: number | null;
  readonly vdop: number | null;
  readonly pdop: number | null;
  readonly used: number;
  readonly inView: number;
}
export interface EpochLine {
  readonly type: 'epoch';
  readonly index: number;
  readonly atMs: number;
  readonly utc: string;
  readonly truth: Truth;
  readonly report: ReportLine;
  readonly satellites: readonly SatelliteTruth[];
  readonly faults: readonly string[];
}
export interface SentenceLine {
  readonly type: 'sentence';
  readonly epoch: number;
  readonly text: string;
  readonly startMs: number;
  readonly endMs: number;
  readonly faults: readonly string[];
  readonly sentBase64?: string;
}
export interface BytesLine {
  readonly type: 'bytes';
  readonly startMs: number;
  readonly endMs: number;
  readonly base64: string;
  readonly cause: string;
  readonly faults: readonly string[];
}
export interface DroppedLine {
  readonly type: 'dropped';
  readonly epoch: number;
  readonly atMs: number;
  readonly text: string;
  readonly bytes: number;
  readonly reason: string;
  readonly faults: readonly string[];
}
export interface FaultLine {
  readonly type: 'fault';
  readonly id: string;
  readonly kind: string;
  readonly phase: 'begin' | 'end';
  readonly atMs: number;
  readonly with: Readonly<Record<string, unknown>>;
}
export interface RunLine {
  readonly type: 'run';
  readonly format: number;
  readonly startUtc: string;
  readonly baud: number;
  readonly seed: number;
}
export interface EndLine {
  readonly type: 'end';
  readonly epochs: number;
  readonly sentences: number;
  readonly bytes: number;
  readonly dropped: number;
}
export interface HostLine {
  readonly type: 'host';
  readonly atMs: number;
}
export type JournalLine = RunLine | EpochLine | SentenceLine | BytesLine | DroppedLine | FaultLine | EndLine | HostLine;

/** What a run gave: the bytes that reached the host, and the journal. */
export interface Played {
  readonly bytes: Buffer;
  readonly lines: readonly string[];
  readonly journal: readonly JournalLine[];
  readonly steps: readonly Step[];
}

/** How a test plays a run. */
export interface PlayOptions extends OpenModuleOptions {
  /** Where the run is stopped, ms; default: at its end. */
  readonly untilMs?: number;
  /** The time is told in pieces of this length, ms; default: in one. */
  readonly cutMs?: number;
}

/** Plays a run on the memory port with the manual clock, to its end or until it is stopped. */
export async function playRun({ untilMs, cutMs = Infinity, ...options }: PlayOptions): Promise<Played> {
  const lines: string[] = [];
  const steps: Step[] = [];
  const module = await openModule({
    ...options,
    port: 'memory',
    onJournal: (line) => lines.push(line),
    onEpoch: (step) => steps.push(step),
  });
  const chunks: Buffer[] = [];
  const limitMs = untilMs ?? Infinity;
  while (!module.isOver && module.nowMs < limitMs) {
    module.advance(Math.min(cutMs, limitMs - module.nowMs));
    chunks.push(module.read());
  }
  await module.close();
  chunks.push(module.read());
  return { bytes: Buffer.concat(chunks), lines, journal: lines.map((line) => JSON.parse(line) as JournalLine), steps };
}

/** The journal's lines of one type. */
export function linesOf<T extends JournalLine['type']>(
  journal: readonly JournalLine[],
  type: T,
): Extract<JournalLine, { type: T }>[] {
  return journal.filter((line): line is Extract<JournalLine, { type: T }> => line.type === type);
}

/** What a sentence's or bytes' line says went over the line. */
export function sentBytes(line: SentenceLine | BytesLine): Buffer {
  if (line.type === 'bytes') return Buffer.from(line.base64, 'base64');
  return line.sentBase64 === undefined
    ? Buffer.from(`${line.text}\r\n`, 'latin1')
    : Buffer.from(line.sentBase64, 'base64');
}

/** The stream that the journal accounts for. */
export function accountedBytes(journal: readonly JournalLine[]): Buffer {
  const parts: Buffer[] = [];
  for (const line of journal) if (line.type === 'sentence' || line.type === 'bytes') parts.push(sentBytes(line));
  return Buffer.concat(parts);
}

/** The sentences as the module meant them, of epochs from `from` on. */
export function meantSentences(journal: readonly JournalLine[], from = 0): string[] {
  return linesOf(journal, 'sentence')
    .filter(({ epoch }) => epoch >= from)
    .map(({ text }) => text);
}

/** An antenna at rest under an open sky, with a receiver that finds its position at once. */
export function roof(more: Readonly<Record<string, unknown>> = {}): Readonly<Record<string, unknown>> {
  return {
    lodestub: 1,
    title: 'On a roof',
    seed: 5,
    start: '2026-03-01T12:00:00Z',
    duration: '60 s',
    receiver: { start: 'hot' },
    route: [{ hold: '60 s', at: [47.1, 8.2, '430 m'] }],
    ...more,
  };
}
