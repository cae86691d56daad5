import { describe, expect, it } from 'vitest';
import { stringify } from 'yaml';
import { ModuleRun } from '../../src/run/module-run.js';
import { readScenario } from '../../src/scenario/read.js';
import { lineOfJournal, readExactly, ticksPerS } from '../emit/line/exact-uart.js';
import { type BytesLine, type JournalLine, linesOf, roof, type SentenceLine, sentBytes } from './helper.js';

const NOW = { year: 2026, month: 3, day: 1, hour: 12, minute: 0, second: 0 };

interface Played {
  readonly text: string;
  readonly journal: readonly JournalLine[];
}

/** A run of 20 s whose host sets speeds at times, told in pieces. */
async function play(
  timeline: readonly unknown[],
  speeds: readonly (readonly [atMs: number, baud: number])[],
  pieceMs: number,
  module: Readonly<Record<string, unknown>> = {},
): Promise<Played> {
  const route = [{ hold: '20 s', at: [47.1, 8.2, '430 m'] }];
  const scenario = await readScenario(
    stringify(roof({ duration: '20 s', route, timeline, module: { dialect: 'none', ...module } })),
    {
      file: 'scenario',
      baseFolder: '.',
      overrides: {},
    },
  );
  let text = '';
  const journal: JournalLine[] = [];
  const run = new ModuleRun(scenario, {
    now: NOW,
    send: (bytes) => {
      text += bytes;
    },
    journal: (line) => journal.push(JSON.parse(line) as JournalLine),
  });
  const left = [...speeds];
  for (let nowMs = 0; !run.isOver; ) {
    const toMs = Math.min(nowMs + pieceMs, left[0]?.[0] ?? Infinity);
    run.advanceTo(toMs);
    nowMs = toMs;
    if (left[0]?.[0] === nowMs)
      run.noteHost({ event: 'speed', baud: (left.shift() as readonly [number, number])[1] }, nowMs);
  }
  run.finish();
  return { text, journal };
}

/** What a UART by brute force reads of what the journal has. */
function readByForce({ journal }: Played, baud: number, lineBauds: readonly number[]): string {
  const ticks = ticksPerS([baud, ...lineBauds]);
  const line = lineOfJournal(ticks, journal as readonly (SentenceLine | BytesLine)[], (record) =>
    record.type === 'sentence' || record.type === 'bytes' ? sentBytes(record).toString('latin1') : null,
  );
  return readExactly(ticks, line, [{ baud, from: 0n }])
    .map(({ byte }) => String.fromCharCode(byte))
    .join('');
}

const PIECES_MS = [Infinity, 333.3, 7];

describe('a run whose host has a speed of its own', () => {
  const restarts = [
    { at: '4 s', fault: 'restart', with: { off: '1 s', cut: 'mid-sentence' } },
    { at: '9130 ms', fault: 'restart', with: { off: '1500 ms', cut: 'at-once' } },
    { at: '14 s', for: '2 s', fault: 'wrong-speed', with: { baud: 12_345 } },
  ];

  it.each([4800, 38_400, 31_250])(
    'at %i baud gets what brute force makes of the journal, however time is told',
    async (baud) => {
      const all = [];
      for (const pieceMs of PIECES_MS) all.push(await play(restarts, [[0.5, baud]], pieceMs));
      const [whole] = all as [Played];
      expect(whole.text.length).toBeGreaterThan(1000);
      expect(whole.text).toBe(readByForce(whole, baud, [9600, 12_345]));
      for (const played of all) expect(played.text).toBe(whole.text);
    },
  );

  it('at the module’s speed gets clean sentences, but not while the module has another', async () => {
    const timeline = [{ at: '5 s', for: '5 s', fault: 'wrong-speed', with: { baud: 4800 } }];
    for (const pieceMs of PIECES_MS) {
      const played = await play(timeline, [[0.5, 9600]], pieceMs);
      expect(played.text).toBe(readByForce(played, 9600, [9600, 4800]));
      // With a time in them, so that each occurs once.
      const meant = linesOf(played.journal, 'sentence').filter(({ text }) => /^\$GP(RMC|GGA|ZDA)/.test(text));
      const clean = meant.filter(({ text }) => played.text.includes(`${text}\r\n`));
      // Those that begin in the fault's time, and nearly none else: only what follows the last of them without a gap.
      const damaged = meant.filter((sentence) => !clean.includes(sentence));
      expect(damaged.filter(({ startMs }) => startMs < 5000 || startMs > 12_000)).toEqual([]);
      expect(clean.filter(({ startMs }) => startMs > 5000 && startMs < 10_000)).toEqual([]);
    }
  });

  it('whose host has set none follows the module through a change of speed', async () => {
    const timeline = [{ at: '5 s', for: '5 s', fault: 'wrong-speed', with: { baud: 4800 } }];
    const { text, journal } = await play(timeline, [], 7);
    expect(text).toBe(
      journal
        .map((line) => (line.type === 'sentence' || line.type === 'bytes' ? sentBytes(line).toString('latin1') : ''))
        .join(''),
    );
  });
});

describe('a run over a bridge', () => {
  it('delivers the same bytes in bunches, to the last', async () => {
    const plain = await play([], [], 7);
    for (const hold of ['16 ms', '10 s']) {
      for (const pieceMs of PIECES_MS) {
        const bridged = await play([], [], pieceMs, { bridge: { hold, packet: 62 } });
        expect(bridged.text).toBe(plain.text);
      }
    }
  });
});
