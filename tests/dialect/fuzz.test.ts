import { describe, expect, it } from 'vitest';
import { ALL_FEATURES } from './all-features.js';
import { fuzz } from './fuzz.js';
import { countedFrame, dialect, FACTS, heard, hex, sentence, shipped, understood } from './helper.js';

/** Here; ten million of each are in the soak tests. */
const BYTES = 400_000;
const SEED = 20_260_301;
/** What the heap may wander by: caches of the test itself. */
const WANDER_BYTES = 2_000_000;

const DIALECTS = [
  { name: 'lodestub', last: sentence('PLDB,SAVE'), means: 'done SAVE' },
  { name: 'counted-frames', last: countedFrame('01 28'), means: 'done save' },
  { name: 'all features', last: sentence('PTST,ANY'), means: 'done any-sum' },
];

describe.each(DIALECTS)('$name', ({ name, last, means }) => {
  it(`${BYTES} bytes of madness do no harm, and hold no memory (seed ${SEED})`, async () => {
    const one = name === 'all features' ? ALL_FEATURES : await shipped(name);
    const { verdicts, grownBytes } = fuzz(one, SEED, BYTES);
    for (const [verdict, count] of Object.entries(verdicts)) expect(count, verdict).toBeGreaterThan(0);
    expect(grownBytes).toBeLessThan(WANDER_BYTES);
    const listener = one.listen();
    heard(listener, hex('9BE431 00 00F0'), 0);
    listener.take(hex(''), listener.dueMs, FACTS);
    expect(understood(heard(listener, last, 2000))).toEqual([means]);
  });
});

it('the worst that a host can send, a false start after the other, takes no more than the longest frame each', () => {
  const worst = dialect(`
frames: [ { start: "C7", length: { at: 1, bytes: 1 }, longest: 255, checksum: { rule: crc-16 } } ]
commands: [ { name: a, body: "01" } ]`);
  const listener = worst.listen();
  const chunk = Buffer.alloc(50_000, 0xc7);
  const commands = listener.take(chunk, 0, FACTS);
  expect(commands.length).toBeLessThanOrEqual(chunk.length);
  expect(understood(listener.take(hex('01'), listener.dueMs, FACTS))).not.toContain('done a');
});
