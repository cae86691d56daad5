import { createReadStream, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { expect, it } from 'vitest';
import { FAULT_KINDS } from '../../src/index.js';
import { type JournalLine, sentBytes } from '../cli/journal.js';
import { lodestub, temporaryFolder } from '../cli/process.js';

const folder = temporaryFolder();
const HOURS = 24;

/** Every kind of fault, in turn and two at a time, for a whole day. */
function scenario(): string {
  const entries: string[] = [];
  for (let minute = 10; minute < HOURS * 60; minute += 15) {
    const kind = FAULT_KINDS[entries.length % FAULT_KINDS.length];
    entries.push(`  - { at: ${minute} min, for: 20 min, fault: ${kind?.name} }`);
  }
  const legs = [
    '  - { hold: 10 min, at: [69.65, 18.96, 10 m] }',
    '  - { repeat: 1000, route: [{ go: [[69.70, 18.90]], speed: 40 kn }, { go: [[69.65, 18.96]], speed: 40 kn }] }',
  ];
  return [
    'lodestub: 1',
    'seed: 24',
    'start: 2026-03-01T00:00:00Z',
    `duration: ${HOURS} h`,
    'route:',
    ...legs,
    'timeline:',
    ...entries,
    '',
  ].join('\n');
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

it('a day with every fault, flat out: no number goes wrong, every sentence as meant is sound, nothing is unaccounted', async () => {
  const [file, out, journal] = [join(folder, 'day.yaml'), join(folder, 'day.nmea'), join(folder, 'day.jsonl')];
  writeFileSync(file, scenario());
  const { code, stderr } = await lodestub(['write', file, '--out', out, '--journal', journal]);
  expect(code, stderr).toBe(0);
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
  expect([...kinds].sort()).toEqual(FAULT_KINDS.map(({ name }) => name).sort());
});
