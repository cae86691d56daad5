import { openMemoryPort } from '../../../src/emit/ports/memory-port.js';
import type { ModulePort } from '../../../src/emit/ports/port.js';
import { ModuleRun } from '../../../src/run/module-run.js';
import { readScenario } from '../../../src/scenario/read.js';
import { accountedBytes, type EpochLine, type JournalLine, linesOf, type SentenceLine } from '../../run/helper.js';

/** A sentence as a careful host reads it: whole, with the right checksum. */
export interface Read {
  readonly raw: string;
  readonly talker: string;
  readonly name: string;
  /** The name with its talker, and what comes behind it. */
  readonly fields: readonly string[];
  /** Where it begins in the stream. */
  readonly at: number;
}

/** What a host has seen of a run, and what is on record of it. */
export interface Seen {
  /** The stream that has reached the host, a character a byte. */
  readonly text: string;
  readonly read: readonly Read[];
  /** Each time that bytes came, by the run's time. */
  readonly deliveries: readonly { readonly atMs: number; readonly text: string }[];
  readonly journal: readonly JournalLine[];
  readonly epochs: readonly EpochLine[];
  readonly sent: readonly SentenceLine[];
  /** What was done to the port, and when: `20000 vanish true`. */
  readonly calls: readonly string[];
}

/** What a host does while it looks on. */
export interface HostActs {
  /** The speed that it sets its UART to at the start. */
  readonly baud?: number;
  /** When it opens the port, ms. */
  readonly opensAtMs?: number;
}

/** How often the host reads, ms. */
export const READ_EVERY_MS = 20;

/** Plays a scenario, YAML, on a memory port whose owner's calls are on record. */
export async function playSeen(yaml: string, { baud, opensAtMs = Infinity }: HostActs = {}): Promise<Seen> {
  const scenario = await readScenario(yaml, { file: 'failure', baseFolder: '.', overrides: {} });
  const memory = await openMemoryPort({});
  const calls: string[] = [];
  const deliveries: { atMs: number; text: string }[] = [];
  const lines: string[] = [];
  let nowMs = 0;
  const call = (what: string) => calls.push(`${nowMs} ${what}`);
  const port: ModulePort = {
    ...memory,
    vanish: (hangUp) => {
      call(`vanish ${hangUp}`);
      memory.vanish?.(hangUp);
    },
    comeBack: (as) => {
      call(`come-back ${as}`);
      memory.comeBack?.(as);
    },
    refuse: (isRefusing) => call(`refuse ${isRefusing}`),
    keep: (bytes) => call(`keep ${bytes}`),
  };
  const run = new ModuleRun(scenario, {
    now: { year: 2026, month: 3, day: 1, hour: 12, minute: 0, second: 0 },
    send: (bytes) => {
      if (port.write(Buffer.from(bytes, 'latin1')) === 0) deliveries.push({ atMs: nowMs, text: bytes });
    },
    journal: (line) => lines.push(line),
    port,
  });
  if (baud !== undefined) run.noteHost({ event: 'speed', baud }, 0);
  while (!run.isOver) {
    nowMs += READ_EVERY_MS;
    run.advanceTo(nowMs);
    if (nowMs - READ_EVERY_MS < opensAtMs && opensAtMs <= nowMs) run.noteHost({ event: 'open' }, nowMs);
  }
  run.finish();
  const journal = lines.map((line) => JSON.parse(line) as JournalLine);
  const text = memory.read().toString('latin1');
  return {
    text,
    read: readSentences(text),
    deliveries,
    journal,
    epochs: linesOf(journal, 'epoch'),
    sent: linesOf(journal, 'sentence'),
    calls,
  };
}

/** The sentences in a stream that are whole and right. */
export function readSentences(text: string): Read[] {
  const found: Read[] = [];
  for (const match of text.matchAll(/\$([^$*\r\n]+)\*([0-9A-F]{2})\r\n/g)) {
    const [raw, body, hex] = match as unknown as [string, string, string];
    if (checksumOf(body) !== hex) continue;
    const fields = body.split(',');
    const [name] = fields as [string];
    found.push({ raw: raw.trimEnd(), talker: name.slice(0, 2), name: name.slice(2), fields, at: match.index });
  }
  return found;
}

/** The checksum of what stands between $ and *. */
export function checksumOf(body: string): string {
  let sum = 0;
  for (let i = 0; i < body.length; i++) sum ^= body.charCodeAt(i);
  return sum.toString(16).toUpperCase().padStart(2, '0');
}

/** The fields of all sentences of a kind that were read. */
export function fieldsOf({ read }: Seen, name: string): (readonly string[])[] {
  return read.filter((each) => each.name === name).map(({ fields }) => fields);
}

/** Fields of RMC, by their names. */
export function rmcOf(seen: Seen) {
  return fieldsOf(seen, 'RMC').map(
    ([id = '', time = '', status, lat = '', ns, lon = '', ew, knots, course, date, variation, , mode]) => ({
      id,
      time,
      status,
      lat,
      ns,
      lon,
      ew,
      knots,
      course,
      date,
      variation,
      mode,
    }),
  );
}

/** Fields of GGA, by their names. */
export function ggaOf(seen: Seen) {
  return fieldsOf(seen, 'GGA').map(([, time, lat = '', , lon = '', , quality, used, hdop, altitude, , separation]) => ({
    time,
    lat,
    lon,
    quality,
    used,
    hdop,
    altitude,
    separation,
  }));
}

/** Degrees from ddmm.mmmm or dddmm.mmmm. */
export function degrees(field: string): number {
  const value = Number(field);
  const whole = Math.trunc(value / 100);
  return whole + (value - 100 * whole) / 60;
}

/** Metres between two places that are given in degrees, a flat earth's: good enough for near ones. */
export function metresBetween(a: readonly [number, number], b: readonly [number, number]): number {
  const METRES_PER_DEG = 111_195;
  const northM = (b[0] - a[0]) * METRES_PER_DEG;
  const eastM = (b[1] - a[1]) * METRES_PER_DEG * Math.cos((a[0] * Math.PI) / 180);
  return Math.hypot(northM, eastM);
}

/** The sentences that were read, by the epoch at which each was sent: sentences with one time are of one epoch. */
export function byEpoch({ sent }: Seen): SentenceLine[][] {
  const epochs: SentenceLine[][] = [];
  for (const line of sent) {
    const list = epochs[line.epoch] ?? [];
    epochs[line.epoch] = list;
    list.push(line);
  }
  return epochs.filter((list) => list !== undefined);
}

/** Whether a list has, in order, something for each test, with anything between. */
export function comesInOrder<T>(list: readonly T[], ...tests: readonly ((item: T) => boolean)[]): boolean {
  let next = 0;
  for (const item of list) {
    if (next < tests.length && (tests[next] as (item: T) => boolean)(item)) next++;
  }
  return next === tests.length;
}

/** The longest time without a byte, ms, and when it began. */
export function longestSilence({ deliveries, journal }: Seen): { lastsMs: number; fromMs: number } {
  const end = Math.max(...linesOf(journal, 'epoch').map(({ atMs }) => atMs));
  let longest = { lastsMs: 0, fromMs: 0 };
  let fromMs = 0;
  for (const atMs of [...deliveries.map((each) => each.atMs), end]) {
    if (atMs - fromMs > longest.lastsMs) longest = { lastsMs: atMs - fromMs, fromMs };
    fromMs = atMs;
  }
  return longest;
}

/** All bytes that the module sent, those that did not reach the host too, a character each. */
export function sentText({ journal }: Seen): string {
  return accountedBytes(journal).toString('latin1');
}
