import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { accountedBytes, linesOf, playRun, roof } from './helper.js';

/** A slow line, on which a sentence takes a sixth of a second. */
const SLOW = {
  duration: '8 s',
  receiver: { start: 'hot' },
  module: { baud: 4800, sentences: { GGA: 1, RMC: 1, GSA: 1 } },
};

/** No sentence takes as long. */
const LONGEST_MS = 200;

async function play(timeline: readonly object[], cutMs?: number) {
  const { bytes, journal } = await playRun({ scenario: roof({ ...SLOW, timeline }), ...(cutMs && { cutMs }) });
  return { bytes, journal: journal.slice(1) };
}

/** Kinds of the line that decide about each byte by itself. */
const OF_BYTES = [
  { fault: 'silence' },
  { fault: 'bit-errors', with: { rate: 0.01 } },
  { fault: 'wrong-speed', with: { baud: 9600 } },
  { fault: 'garbage-bytes', with: { share: 1, size: 40 } },
];

describe('clear', () => {
  it.each(OF_BYTES)('$fault: is the same as for, whenever it comes', async (what) => {
    const time = fc.integer({ min: 0, max: 4_000_000 });
    await fc.assert(
      fc.asyncProperty(time, time, fc.constantFrom(20, 137, undefined), async (atUs, forUs, cutMs) => {
        const begun = { at: `${atUs} us`, id: 'cable', ...what };
        const cleared = await play([begun, { at: `${atUs + forUs + 1} us`, clear: 'cable' }], cutMs);
        const ended = await play([{ ...begun, for: `${forUs + 1} us` }]);
        expect(cleared.bytes.equals(ended.bytes)).toBe(true);
        expect(cleared.journal).toEqual(ended.journal);
      }),
      // Ended at an epoch.
      { numRuns: 25, examples: [[4, 3_999_995, 20]] },
    );
  });

  it('ends a fault by the time that it says, in the middle of a sentence', async () => {
    const { journal } = await play([
      { at: '1 s', id: 'cable', fault: 'silence' },
      { at: '1.4 s', clear: 'cable' },
    ]);
    expect(linesOf(journal, 'fault').map(({ phase, atMs }) => [phase, atMs])).toEqual([
      ['begin', 1000],
      ['end', 1400],
    ]);
    const first = linesOf(journal, 'sentence').find(({ faults }) => faults.length > 0);
    // The first byte after it comes within the two milliseconds that a byte takes.
    expect((first?.startMs ?? 0) - 1400).toBeGreaterThanOrEqual(0);
    expect((first?.startMs ?? 0) - 1400).toBeLessThan(2.1);
  });

  it('leaves nothing of any number of faults after it, and every byte on record', async () => {
    const kinds = [...OF_BYTES, { fault: 'host-overrun', with: { share: 1, size: 60 } }, { fault: 'nul-bytes' }];
    const deed = fc.record({
      what: fc.constantFrom(...kinds),
      atMs: fc.integer({ min: 0, max: 5000 }),
      forMs: fc.integer({ min: 1, max: 2000 }),
    });
    await fc.assert(
      fc.asyncProperty(
        fc.array(deed, { minLength: 2, maxLength: 6 }),
        fc.constantFrom(20, 137),
        async (deeds, cutMs) => {
          const timeline = deeds.flatMap(({ what, atMs, forMs }, i) => [
            { at: `${atMs} ms`, id: `deed-${i}`, ...what },
            { at: `${atMs + forMs} ms`, clear: `deed-${i}` },
          ]);
          const { bytes, journal } = await play(timeline, cutMs);
          expect(bytes.equals(accountedBytes(journal))).toBe(true);
          expect(bytes.equals((await play(timeline)).bytes)).toBe(true);
          const lastMs = Math.max(...deeds.map(({ atMs, forMs }) => atMs + forMs));
          const sent = linesOf(journal, 'sentence');
          // A sentence that has begun by then may have lost its beginning.
          for (const { startMs, faults } of sent) if (startMs > lastMs + LONGEST_MS) expect(faults).toEqual([]);
          const times = journal.flatMap((line) =>
            'startMs' in line ? [line.startMs] : 'atMs' in line ? [line.atMs] : [],
          );
          expect(times).toEqual([...times].sort((a, b) => a - b));
        },
      ),
      { numRuns: 40 },
    );
  });
});
