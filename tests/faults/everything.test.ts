import { describe, expect, it } from 'vitest';
import { stringify } from 'yaml';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { ModuleRun } from '../../src/run/module-run.js';
import { readScenario } from '../../src/scenario/read.js';
import { accountedBytes, type EpochLine, type JournalLine, linesOf, roof, sentBytes } from '../run/helper.js';
import { everyKindAtOnce, everyKindByChance } from './every-kind.js';

const MINUTES = 20;

/** Of each kind six occurrences or so, five kinds in force at a time; and for ten seconds all of them. */
const TIMELINE = [...everyKindByChance('25 /h', '20 s', '19 min'), ...everyKindAtOnce('15 min', '10 s')];

function scenario(more: Readonly<Record<string, unknown>>) {
  return roof({
    duration: `${MINUTES} min`,
    receiver: { start: 'cold' },
    route: [
      { hold: '60 s', at: [47.1, 8.2, '430 m'] },
      { go: [[47.2, 8.3]], speed: '30 kn' },
    ],
    timeline: TIMELINE,
    ...more,
  });
}

/** What goes over the line, whatever becomes of the port: a port that is away loses it, and this one is never away. */
async function play(more: Readonly<Record<string, unknown>>, seed: number, cutMs = Infinity) {
  const read = await readScenario(stringify(scenario(more)), { file: 'all', baseFolder: '.', overrides: { seed } });
  const parts: Buffer[] = [];
  const lines: string[] = [];
  const run = new ModuleRun(read, {
    now: { year: 2026, month: 3, day: 1, hour: 12, minute: 0, second: 0 },
    send: (bytes) => parts.push(Buffer.from(bytes, 'latin1')),
    journal: (line) => lines.push(line),
  });
  for (let nowMs = cutMs; !run.isOver; nowMs += cutMs) run.advanceTo(nowMs);
  run.finish();
  return { bytes: Buffer.concat(parts), lines, journal: lines.map((line) => JSON.parse(line) as JournalLine) };
}

/** Played when it is first asked for. */
function once<T>(make: () => Promise<T>): () => Promise<T> {
  let made: Promise<T> | null = null;
  return () => {
    made ??= make();
    return made;
  };
}

const NO_NUMBER = /NaN|Infinity|undefined|null/;

/** A sentence as the module means it. */
const SOUND = /^\$[A-Z]{5},[ -~]*\*[0-9A-F]{2}$/;

/** What has been said wrongly, at the first place. */
function flaw(line: JournalLine): string | null {
  const { base64: _base64, sentBase64: _sentBase64, ...readable } = line as JournalLine & Record<string, unknown>;
  const text = JSON.stringify(readable);
  if (/NaN|Infinity|undefined/.test(text)) return text;
  for (const key of ['atMs', 'startMs', 'endMs']) {
    if (key in readable && !Number.isFinite((readable as Record<string, unknown>)[key])) return text;
  }
  if (line.type === 'epoch') return isWhole(line) ? null : text;
  if (line.type !== 'sentence') return null;
  return SOUND.test(line.text) && !NO_NUMBER.test(line.text) && !NO_NUMBER.test(`${sentBytes(line)}`) ? null : text;
}

/** JSON has null for what is no number: the truth has none of it, and neither has a 3D fix. */
function isWhole({ truth, report }: EpochLine): boolean {
  const { fix, latitudeDeg, longitudeDeg, altitudeMslM, speedMps, hdop, vdop, pdop } = report;
  const fixed = fix === '3d' ? [latitudeDeg, longitudeDeg, altitudeMslM, speedMps, hdop, vdop, pdop] : [];
  return [...Object.values(truth), ...fixed].every(Number.isFinite);
}

const SEVEN_SYSTEMS = {
  module: 'two-band-115200',
  sky: { systems: ['gps', 'glonass', 'galileo', 'beidou', 'qzss', 'navic', 'sbas'] },
};

describe.each([
  ['one system at 9600 baud', 1, {}],
  ['another seed', 2, {}],
  ['seven systems in two bands', 3, SEVEN_SYSTEMS],
])('every kind of fault at once: %s', (_name, seed, more) => {
  const whole = once(() => play(more, seed));

  it('breaks nothing, and the journal accounts for every byte', async () => {
    const { bytes, journal, lines } = await whole();
    const flaws = journal.map(flaw).filter((each) => each !== null);
    expect(flaws.slice(0, 3), `seed ${seed}`).toEqual([]);
    expect(accountedBytes(journal).equals(bytes), `seed ${seed}`).toBe(true);
    const begun = linesOf(journal, 'fault').filter(({ phase }) => phase === 'begin');
    const ended = linesOf(journal, 'fault').filter(({ phase }) => phase === 'end');
    expect(new Set(begun.map(({ kind }) => kind))).toEqual(new Set(FAULT_KINDS.map(({ name }) => name)));
    expect(ended.map(({ id }) => id).sort()).toEqual(begun.map(({ id }) => id).sort());
    const epochs = linesOf(journal, 'epoch');
    expect(Math.max(...epochs.map(({ faults }) => faults.length))).toBeGreaterThanOrEqual(FAULT_KINDS.length - 5);
    const [end] = linesOf(journal, 'end');
    expect(end?.bytes).toBe(bytes.length);
    expect(end?.sentences).toBe(linesOf(journal, 'sentence').length);
    expect(lines.every((line) => !line.includes('\n'))).toBe(true);
    // The module goes on: it speaks and has fixes to the end.
    expect(linesOf(journal, 'sentence').some(({ startMs }) => startMs > (MINUTES - 0.5) * 60_000)).toBe(true);
    expect(epochs.slice(-60).some(({ report }) => report.fix === '3d')).toBe(true);
  });

  it('gives the same bytes and the same journal however time is told', async () => {
    const { bytes, lines } = await whole();
    const cut = await play(more, seed, 733);
    expect(cut.bytes.equals(bytes), `seed ${seed}`).toBe(true);
    const different = lines.findIndex((line, i) => line !== cut.lines[i]);
    expect(cut.lines[different], `seed ${seed}`).toBe(lines[different]);
    expect(cut.lines).toHaveLength(lines.length);
  });
});
