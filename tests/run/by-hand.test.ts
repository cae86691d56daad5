import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { stringify } from 'yaml';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { ModuleRun } from '../../src/run/module-run.js';
import { readScenario } from '../../src/scenario/read.js';
import { type JournalLine, linesOf, roof } from './helper.js';

const NOW = { year: 2026, month: 3, day: 1, hour: 12, minute: 0, second: 0 };

/** What is done to a run by hand, at a time of the host's clock. */
interface Deed {
  readonly atMs: number;
  readonly fault: string;
  /** Cleared so long after it began; null: left in force. */
  readonly afterMs: number | null;
}

async function scenarioOf(more: Readonly<Record<string, unknown>>) {
  return readScenario(stringify(roof({ duration: '20 s', ...more })), { file: 'roof.yaml', baseFolder: '' });
}

/** The host's clock comes on by so much at a time, ms. */
const PIECE_MS = 23;

/** Plays a run in pieces, with what is done to it meanwhile. */
async function played(deeds: readonly Deed[], more: Readonly<Record<string, unknown>> = {}) {
  let bytes = '';
  const lines: string[] = [];
  const run = new ModuleRun(await scenarioOf(more), {
    now: NOW,
    send: (text) => {
      bytes += text;
    },
    journal: (line) => lines.push(line),
  });
  const toStart = [...deeds].sort((a, b) => a.atMs - b.atMs);
  const toClear: { atMs: number; id: string }[] = [];
  const done: object[] = [];
  for (let nowMs = 0; !run.isOver; nowMs += PIECE_MS) {
    run.advanceTo(nowMs);
    for (let deed = toStart[0]; deed !== undefined && deed.atMs <= nowMs; deed = toStart[0]) {
      toStart.shift();
      const kind = FAULT_KINDS.find(({ name }) => name === deed?.fault);
      if (kind === undefined) throw new Error(`no kind ${deed.fault}`);
      const occurrence = run.start(kind, kind.settings.parse({}), null);
      if (occurrence === null) break;
      const [id] = occurrence.id.split('.');
      done.push({ at: `${occurrence.beginMs} ms`, id, fault: deed.fault });
      if (deed.afterMs !== null) toClear.push({ atMs: nowMs + deed.afterMs, id: occurrence.id });
    }
    for (const { atMs, id } of toClear.splice(0)) {
      if (atMs > nowMs) toClear.push({ atMs, id });
      else {
        const at = `${run.reachedMs} ms`;
        if (run.clear(id)) done.push({ at, clear: id.split('.')[0] });
      }
    }
  }
  run.finish();
  return { bytes, journal: lines.slice(1).map((line) => JSON.parse(line) as JournalLine), timeline: done };
}

const NAMES = FAULT_KINDS.map(({ name }) => name);

describe('a fault started by hand', () => {
  it.each(NAMES)('%s: is the same as an entry of the timeline, begun and cleared', async (fault) => {
    const byHand = await played([{ atMs: 9_133, fault, afterMs: 6_400 }]);
    const planned = await played([], { timeline: byHand.timeline });
    expect(planned.bytes).toBe(byHand.bytes);
    expect(planned.journal).toEqual(byHand.journal);
  });

  it('takes effect at the next tick of 20 ms, and is on record', async () => {
    const deed = { atMs: 9_133, fault: 'silence', afterMs: 3_000 };
    // On a slow line a sentence is on its way at either time.
    const { journal, timeline } = await played([deed], {
      module: { baud: 4800, sentences: { GGA: 1, RMC: 1, GSV: 1 } },
    });
    const [begin, end] = linesOf(journal, 'fault');
    expect([begin?.id, begin?.kind, begin?.phase]).toEqual(['live-1.1', 'silence', 'begin']);
    expect((begin?.atMs as number) - 9_133).toBeGreaterThanOrEqual(0);
    // One piece until it is done, one tick until it takes effect.
    expect((begin?.atMs as number) - 9_133).toBeLessThanOrEqual(PIECE_MS + 20);
    expect(end?.phase).toBe('end');
    expect([`${begin?.atMs} ms`, `${end?.atMs} ms`]).toEqual(timeline.map((entry) => (entry as { at: string }).at));
  });

  it('of any kinds, at any times: a repeat gives the same bytes', async () => {
    const deed = fc.record({
      atMs: fc.integer({ min: 0, max: 19_000 }),
      fault: fc.constantFrom(...NAMES),
      afterMs: fc.option(fc.integer({ min: 0, max: 9_000 })),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(deed, { minLength: 1, maxLength: 5 }), async (deeds) => {
        const byHand = await played(deeds);
        const planned = await played([], { timeline: byHand.timeline });
        expect(planned.bytes).toBe(byHand.bytes);
      }),
      { numRuns: 12 },
    );
  });
});

describe('what comes from outside', () => {
  const full = new Error('the disk is full');

  /** A run whose journal cannot be written any more. */
  async function fullRun(failures: Error[]) {
    let isFull = false;
    const run = new ModuleRun(await scenarioOf({}), {
      now: NOW,
      send: () => {},
      journal: () => {
        if (isFull) throw full;
      },
      failed: (error) => failures.push(error),
    });
    run.advanceTo(1000);
    isFull = true;
    return run;
  }

  it.each([
    ['bytes of a host', (run: ModuleRun) => run.hear(Uint8Array.of(36), 3000)],
    ['a host', (run: ModuleRun) => run.noteHost({ event: 'open' }, 3000)],
  ])('%s, when the journal cannot be written: the run is told, and nobody else', async (_name, come) => {
    const failures: Error[] = [];
    const run = await fullRun(failures);
    come(run);
    expect(failures).toEqual([full]);
  });
});

describe('chance', () => {
  const MANY = {
    duration: '40 min',
    timeline: [{ at: '2 min', until: '35 min', chance: '10 /min', for: '1 s', fault: 'silence' }],
  };

  async function begins(more: Readonly<Record<string, unknown>>) {
    const lines: string[] = [];
    const run = new ModuleRun(await scenarioOf({ ...MANY, ...more }), {
      now: NOW,
      send: () => {},
      journal: (line) => lines.push(line),
    });
    run.advanceTo(2_400_000);
    run.finish();
    const faults = linesOf(
      lines.map((line) => JSON.parse(line) as JournalLine),
      'fault',
    );
    return {
      begin: faults.filter(({ phase }) => phase === 'begin'),
      end: faults.filter(({ phase }) => phase === 'end'),
    };
  }

  it('makes a fault occur at random times of its rate, each for its time, between at and until', async () => {
    const { begin, end } = await begins({});
    // Of the 6 s from one beginning to the next on average the fault itself takes 1 s, which does not vary.
    const expected = 33 * 10;
    const FOUR_SIGMA = (4 * Math.sqrt(expected) * 5) / 6;
    expect(Math.abs(begin.length - expected)).toBeLessThan(FOUR_SIGMA);
    for (const [i, { atMs, id }] of begin.entries()) {
      expect(id).toBe(`1.${i + 1}`);
      expect(atMs).toBeGreaterThanOrEqual(120_000);
      expect(atMs).toBeLessThan(2_100_000);
      expect(Math.abs((end[i]?.atMs as number) - atMs - 1000)).toBeLessThan(0.002);
    }
  });

  it('gives the same times with the same seed, and others with another', async () => {
    const times = async (seed: number) => (await begins({ seed })).begin.map(({ atMs }) => atMs);
    const first = await times(3);
    expect(await times(3)).toEqual(first);
    expect(await times(4)).not.toEqual(first);
  });
});
