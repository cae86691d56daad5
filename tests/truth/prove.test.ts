import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { listModules, listScenarios } from '../../src/scenario/shipped.js';
import type { Proof } from '../../src/truth/prove.js';
import { type Played, type PlayOptions, playRun, roof } from '../run/helper.js';
import { proofOf } from './proof-helper.js';

const [MODULES, SCENARIOS] = await Promise.all([listModules(), listScenarios()]);

function expectProven(proof: Proof, bytes: Uint8Array): void {
  expect(proof.findings).toEqual([]);
  expect(proof.difference).toBeNull();
  expect(proof).toMatchObject({ isProven: true, findingCount: 0, streamBytes: bytes.length });
}

/** Everything at once: faults of every stage but the port's, surroundings, a line that is too slow. */
const CROWDED = {
  duration: '40 s',
  module: { baud: 4800, 'transmit-buffer': 700, overflow: 'cut', latency: '280 ms' },
  timeline: [
    { at: '3 s', for: '30 s', fault: 'bad-checksum', with: { share: 0.3 } },
    { at: '3 s', for: '20 s', fault: 'garbage-bytes', with: { share: 0.3, size: 70 } },
    { at: '5.2 s', for: '1.3 s', fault: 'silence' },
    { at: '8 s', for: '9 s', fault: 'frozen-position' },
    { at: '12.7 s', fault: 'restart', with: { start: 'hot', off: '1.5 s' } },
    { at: '20 s', for: '6 s', fault: 'signal-loss' },
    { at: '22.44 s', for: '5 s', fault: 'wrong-speed' },
    { at: '28 s', for: '5 s', surroundings: 'tunnel' },
  ],
};

describe('the journal accounts for the stream', () => {
  for (const { name, stage } of FAULT_KINDS) {
    it(`of a run with ${name}`, async () => {
      const timeline = [{ at: '5.3 s', for: '20 s', fault: name }];
      // What a port loses is not in the stream; it is told in steps, so that the port's records have their times.
      const { bytes, lines } = await playRun({ scenario: roof({ timeline }), cutMs: 100 });
      expectProven(proofOf(lines, bytes, stage === 'port'), bytes);
      expect(bytes.length).toBeGreaterThan(10_000);
    });
  }

  for (const { name } of MODULES) {
    it(`of the module ${name}, with faults`, async () => {
      const { bytes, lines } = await playRun({ scenario: roof({ ...CROWDED, module: name }) });
      expectProven(proofOf(lines, bytes), bytes);
    });
  }

  for (const { name } of SCENARIOS) {
    it(`of the scenario ${name}, two minutes of it`, async () => {
      const { bytes, lines } = await playRun({ scenario: name, untilMs: 120_000, cutMs: 1000 });
      expectProven(proofOf(lines, bytes), bytes);
    });
  }

  const OTHERS: [string, PlayOptions][] = [
    ['a line that is too slow, with faults', { scenario: roof(CROWDED) }],
    ['a line that is too slow and drops', { scenario: roof({ module: { baud: 1200, 'transmit-buffer': 700 } }) }],
    ['a bridge', { scenario: roof({ module: { bridge: { hold: '16 ms', packet: 62 } } }) }],
    ['ten epochs a second', { scenario: roof({ module: { baud: 115_200, rate: '10 Hz' } }) }],
    ['a run that is stopped in a sentence', { scenario: roof(CROWDED), untilMs: 20_233.3 }],
    ['a run that is stopped before anything', { scenario: roof(), untilMs: 0 }],
    [
      'faults at random times',
      {
        scenario: roof({ timeline: [{ at: '1 s', for: '300 ms', fault: 'silence', chance: '30 /min' }] }),
      },
    ],
    [
      'commands that change speed and rate, and boot the module',
      {
        scenario: roof({
          timeline: ['RATE,5', 'BAUD,38400', 'SETTINGS', 'ONLY,RMC,GGA', 'RESET,HOT', 'BAUD,4800', 'STANDBY'].map(
            (command, i) => ({ at: `${4 + 3 * i} s`, command: `$PLDB,${command}` }),
          ),
        }),
      },
    ],
  ];
  for (const [name, options] of OTHERS) {
    it(`of ${name}`, async () => {
      const { bytes, lines } = await playRun(options);
      expectProven(proofOf(lines, bytes), bytes);
    });
  }
});

describe('a single change is found', async () => {
  const { bytes, lines }: Played = await playRun({ scenario: roof(CROWDED) });
  const place = fc.integer({ min: 0, max: bytes.length - 1 });
  const recordAt = fc.integer({ min: 0, max: lines.length - 1 });
  /** What becomes of a journal that may be none. */
  const verdict = (changed: readonly string[]): boolean => {
    try {
      return proofOf(changed, bytes).isProven;
    } catch (error) {
      expect((error as Error).message).toMatch(/^journal\.(format|record|version): run\.jsonl, line \d+: /);
      return false;
    }
  };

  it('nothing where nothing is changed, however the files come in pieces', () => {
    for (const most of [1, 7, 4096]) expectProven(proofOf(lines, bytes, false, most), bytes);
  });

  it('a byte of the stream that is another one: at its place', () => {
    fc.assert(
      fc.property(place, fc.integer({ min: 1, max: 255 }), (at, change) => {
        const stream = Uint8Array.from(bytes);
        stream[at] = (stream[at] as number) ^ change;
        const proof = proofOf(lines, stream);
        expect(proof).toMatchObject({ isProven: false, agreeing: at, differing: 1, findingCount: 0 });
        const { offset, before, expected, found } = proof.difference as NonNullable<Proof['difference']>;
        expect([offset, expected[before], found[before]]).toEqual([at, bytes[at], stream[at]]);
      }),
      { numRuns: 60 },
    );
  });

  it('a byte that is missing, or one too many', () => {
    fc.assert(
      fc.property(place, fc.option(fc.integer({ min: 0, max: 255 })), (at, more) => {
        const stream = Uint8Array.from([
          ...bytes.subarray(0, at),
          ...(more === null ? [] : [more]),
          ...bytes.subarray(more === null ? at + 1 : at),
        ]);
        const proof = proofOf(lines, stream);
        expect(proof).toMatchObject({ isProven: false, differing: null, streamBytes: stream.length });
        // A byte like its neighbour is noticed behind it.
        expect(proof.difference?.offset).toBeGreaterThanOrEqual(at);
        const until = proof.difference?.offset as number;
        expect(Buffer.from(stream.subarray(0, until)).equals(bytes.subarray(0, until))).toBe(true);
      }),
      { numRuns: 60 },
    );
  });

  it('a record that is missing, whichever it is', () => {
    // Every kind, and a sample of all.
    const kinds = new Map(
      lines.map((line, i) => [/^\{"type":"(\w+)".*?("phase":"\w+")?/.exec(line)?.slice(1).join(), i]),
    );
    expect(kinds.size).toBeGreaterThanOrEqual(7);
    for (const at of kinds.values()) expect(verdict(lines.filter((_, i) => i !== at)), lines[at]).toBe(false);
    fc.assert(
      fc.property(recordAt, (at) => verdict(lines.filter((_, i) => i !== at)) === false),
      { numRuns: 60 },
    );
  });

  it('a record that stands there twice', () => {
    fc.assert(
      fc.property(
        recordAt,
        (at) => verdict([...lines.slice(0, at), lines[at] as string, ...lines.slice(at)]) === false,
      ),
      { numRuns: 60 },
    );
  });

  it('two records of different times that have changed places', () => {
    const startOf = (line: string) => /"(?:atMs|startMs)":([\d.]+)/.exec(line)?.[1] ?? line;
    fc.assert(
      fc.property(recordAt, recordAt, (a, b) => {
        const [one, other] = [lines[a] as string, lines[b] as string];
        fc.pre(startOf(one) !== startOf(other));
        return verdict(lines.map((line, i) => (i === a ? other : i === b ? one : line))) === false;
      }),
      { numRuns: 60 },
    );
  });

  it('a time of a transmission that is off by 3 us or more', () => {
    const sent = lines.flatMap((line, i) => (line.includes('"faults":[]}') && line.includes('"endMs"') ? [i] : []));
    fc.assert(
      fc.property(fc.constantFrom(...sent), fc.constantFrom('startMs', 'endMs'), (at, key) => {
        const record = JSON.parse(lines[at] as string) as Record<string, number>;
        const moved = JSON.stringify({ ...record, [key]: (record[key] as number) + 0.003 });
        return verdict(lines.map((line, i) => (i === at ? moved : line))) === false;
      }),
      { numRuns: 40 },
    );
  });
});
