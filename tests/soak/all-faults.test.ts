import { createReadStream, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { expect, it } from 'vitest';
import { stringify } from 'yaml';
import { FAULT_KINDS } from '../../src/index.js';
import { type JournalLine, sentBytes } from '../cli/journal.js';
import { Lodestub, temporaryFolder } from '../cli/process.js';
import { type Entry, everyKindAtOnce, everyKindByChance } from '../faults/every-kind.js';
import { watchMemory } from './memory-watch.js';

const folder = temporaryFolder();
const HOURS = 24;

/**
 * With little room the garbage collector has to tidy up at once, so that memory is what is in use: what leaked would
 * show soon, and end the run.
 */
const LITTLE_ROOM = { NODE_OPTIONS: '--max-old-space-size=64 --max-semi-space-size=4' };
/** What a run with its journal may take at most in that, MB: 27 are in use, and Node itself takes 60. */
const RESIDENT_MB = 150;
/** What resident memory may grow by from a quarter of the day to its end, MB. */
const WANDER_MB = 10;

/** Every kind of fault, in turn and two at a time. */
function inTurn(): Entry[] {
  const entries: Entry[] = [];
  for (let minute = 10; minute < HOURS * 60; minute += 15) {
    const kind = FAULT_KINDS[entries.length % FAULT_KINDS.length];
    entries.push({ at: `${minute} min`, for: '20 min', fault: kind?.name });
  }
  return entries;
}

/** Every kind at random times, some five in force at any time, and all of them for ten seconds. */
function allAtOnce(): Entry[] {
  return [...everyKindByChance('25 /h', '20 s', `${HOURS} h`), ...everyKindAtOnce('12 h', '10 s')];
}

function scenario(timeline: readonly Entry[]): string {
  const legs = [
    { go: [[69.7, 18.9]], speed: '40 kn' },
    { go: [[69.65, 18.96]], speed: '40 kn' },
  ];
  return stringify({
    lodestub: 1,
    seed: 24,
    start: '2026-03-01T00:00:00Z',
    duration: `${HOURS} h`,
    route: [
      { hold: '10 min', at: [69.65, 18.96, '10 m'] },
      { repeat: 1000, route: legs },
    ],
    timeline,
  });
}

/** A sentence without a word where a number belongs. */
const SOUND = /^(?!.*(NaN|Infinity|undefined|null))\$[A-Z]{5},[ -~]*\*[0-9A-F]{2}$/;

/** JSON has null for what is not a number: the truth has none, and a report with a fix has none that it must state. */
function expectNumbers({ truth, report }: JournalLine, line: string): void {
  expect(Object.values(truth ?? {}).filter(Number.isFinite), line).toHaveLength(7);
  if (report?.fix !== '3d') return;
  const { latitudeDeg, longitudeDeg, altitudeMslM, speedMps, hdop, vdop, pdop } = report;
  for (const value of [latitudeDeg, longitudeDeg, altitudeMslM, speedMps, hdop, vdop, pdop]) {
    expect(Number.isFinite(value), line).toBe(true);
  }
}

it.each([
  ['in turn', inTurn],
  ['all at once', allAtOnce],
])(
  'a day with every fault %s, flat out: numbers and sentences are sound, all is accounted for, memory is flat',
  async (name, timeline) => {
    const at = (ending: string) => join(folder, `${name.replaceAll(' ', '-')}.${ending}`);
    const [file, out, journal] = [at('yaml'), at('nmea'), at('jsonl')];
    writeFileSync(file, scenario(timeline()));
    const begunMs = Date.now();
    const write = new Lodestub(['write', file, '--out', out, '--journal', journal], { env: LITTLE_ROOM });
    const memory = process.platform === 'linux' ? await watchMemory(write, out) : null;
    const { code, stderr } = await write.ended;
    expect(code, stderr).toBe(0);
    if (memory !== null) {
      const [quarterMb, endMb] = [memory.around(0.25), memory.around(1)];
      console.log(
        JSON.stringify({ name, seconds: (Date.now() - begunMs) / 1000, peakMb: memory.peakMb, quarterMb, endMb }),
      );
      expect(memory.peakMb).toBeLessThan(RESIDENT_MB);
      expect(endMb - quarterMb).toBeLessThan(WANDER_MB);
    }
    const kinds = await readDay(out, journal);
    expect([...kinds].sort()).toEqual(FAULT_KINDS.map((kind) => kind.name).sort());
  },
);

/** Holds the journal against the stream. @returns the kinds of fault that came into force */
async function readDay(out: string, journal: string): Promise<Set<string>> {
  const stream = createReadStream(out, { encoding: 'latin1' })[Symbol.asyncIterator]();
  let pending = '';
  const kinds = new Set<string>();
  for await (const line of createInterface({ input: createReadStream(journal) })) {
    const record = JSON.parse(line) as JournalLine & { kind?: string };
    if (record.type === 'fault') kinds.add(record.kind as string);
    if (record.type === 'epoch') expectNumbers(record, line);
    if (record.type === 'sentence') expect(record.text).toMatch(SOUND);
    const bytes = sentBytes(record);
    if (bytes === null) continue;
    while (pending.length < bytes.length) {
      const next = await stream.next();
      if (next.done === true) break;
      pending += next.value;
    }
    expect(pending.slice(0, bytes.length) === bytes, line).toBe(true);
    pending = pending.slice(bytes.length);
  }
  expect(pending + ((await stream.next()).value ?? '')).toBe('');
  return kinds;
}
