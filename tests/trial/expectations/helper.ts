import { stringify } from 'yaml';
import { openMemoryPort } from '../../../src/emit/ports/memory-port.js';
import { ModuleRun } from '../../../src/run/module-run.js';
import { readScenario } from '../../../src/scenario/read.js';
import type { Evidence, HostReport } from '../../../src/trial/evidence.js';
import { EvidenceCollector } from '../../../src/trial/evidence-from.js';
import { EXPECTATION_SCHEMA } from '../../../src/trial/expectations/expectation-schema.js';
import { judgeAll } from '../../../src/trial/expectations/judge.js';
import type { Judged } from '../../../src/trial/result.js';
import { roof } from '../../run/helper.js';

/** What a host says at once; what it does not say is null. */
export type Said = Partial<Omit<HostReport, 'index' | 'arrivedMs' | 'arrivedRealMs' | 'text'>>;

/** A host in the test's process: hears what has come, which may be nothing, every {@link READ_EVERY_MS}. */
export type TestHost = (text: string, atMs: number) => readonly Said[];

/** Why a host's program would end by itself. */
export class Crash extends Error {}

/** How often the host reads, ms. */
const READ_EVERY_MS = 20;

/** A run as the host sees it, and its journal. */
interface Played {
  readonly heard: readonly { readonly atMs: number; readonly text: string }[];
  readonly journal: readonly string[];
  /** When the port was handed how many bytes. */
  readonly handed: readonly { readonly atMs: number; readonly bytes: number }[];
  readonly endMs: number;
}

const PLAYED = new Map<string, Promise<Played>>();

/** Plays a scenario, which is {@link roof} with something else, once for all hosts. */
function play(scenario: Readonly<Record<string, unknown>>): Promise<Played> {
  const yaml = stringify(roof(scenario));
  const known = PLAYED.get(yaml) ?? playAnew(yaml);
  PLAYED.set(yaml, known);
  return known;
}

async function playAnew(yaml: string): Promise<Played> {
  const scenario = await readScenario(yaml, { file: 'trial', baseFolder: '.' });
  const journal: string[] = [];
  const heard: { atMs: number; text: string }[] = [];
  const handed: { atMs: number; bytes: number }[] = [];
  let run: ModuleRun | null = null;
  let nowMs = 0;
  const port = await openMemoryPort({ portEvent: (event) => run?.notePort(event, nowMs) });
  run = new ModuleRun(scenario, {
    now: { year: 2026, month: 3, day: 1, hour: 12, minute: 0, second: 0 },
    send: (bytes) => {
      handed.push({ atMs: nowMs, bytes: bytes.length });
      port.write(Buffer.from(bytes, 'latin1'));
    },
    journal: (line) => journal.push(line),
    port,
  });
  while (!run.isOver) {
    nowMs += READ_EVERY_MS;
    run.advanceTo(nowMs);
    heard.push({ atMs: nowMs, text: port.read().toString('latin1') });
  }
  run.finish();
  return { heard, journal, handed, endMs: nowMs };
}

export interface HostOptions {
  /** How long a report takes on its way, ms. */
  readonly delayMs?: number;
  /** The host runs already, and nobody knows its process. */
  readonly isForeign?: boolean;
  /** A process that has ended is started again, with a new host. */
  readonly restarts?: boolean;
  /** It is on record when the port was handed each byte. */
  readonly isHandedTold?: boolean;
}

/** What a trial of a host comes to: a real run, and the host's reports on it. */
export async function evidenceOf(
  scenario: Readonly<Record<string, unknown>>,
  newHost: () => TestHost,
  { delayMs = 5, isForeign = false, restarts = false, isHandedTold = false }: HostOptions = {},
): Promise<Evidence> {
  const { heard, journal, handed, endMs } = await play(scenario);
  const collector = new EvidenceCollector();
  if (isHandedTold) for (const { atMs, bytes } of handed) collector.handed(atMs, bytes);
  for (const line of journal) collector.journal(line);
  const lines: { atMs: number; from: 'stdout'; text: string }[] = [];
  const life = (event: 'started' | 'ended', atMs: number, code: number | null, isByUs: boolean) => {
    if (!isForeign) collector.life({ event, atMs, code, signal: null, isByUs });
  };
  let host: TestHost | null = newHost();
  life('started', 0, null, false);
  let index = 0;
  for (const { atMs, text } of heard) {
    if (host === null) break;
    try {
      for (const said of host(text, atMs)) {
        const report = reportOf(said, index++, atMs + delayMs);
        collector.report(report);
        lines.push({ atMs: report.arrivedMs, from: 'stdout', text: report.text });
      }
    } catch (error) {
      if (!(error instanceof Crash)) throw error;
      life('ended', atMs, 1, false);
      host = restarts ? newHost() : null;
      if (restarts) life('started', atMs, null, false);
    }
  }
  if (host !== null) life('ended', endMs, 0, true);
  return collector.finish({ endMs, lines });
}

/** A report of a host's. */
export function reportOf(said: Said, index: number, arrivedMs: number): HostReport {
  const silent = {
    ...{ utcMs: null, hasFix: null, latitudeDeg: null, longitudeDeg: null, altitudeMslM: null },
    ...{ speedMps: null, courseDeg: null, used: null, inView: null },
  };
  const isDateTold = (said.utcMs ?? null) !== null;
  return { ...silent, isDateTold, ...said, index, arrivedMs, arrivedRealMs: arrivedMs, text: JSON.stringify(said) };
}

/** Holds one expectation, as a trial's file has it, against evidence. */
export function judgeOne(expectation: Readonly<Record<string, unknown>>, evidence: Evidence): Judged {
  return judgeAll([EXPECTATION_SCHEMA.parse(expectation)], evidence)[0] as Judged;
}
