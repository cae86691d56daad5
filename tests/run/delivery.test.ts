import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Line } from '../../src/emit/line/line.js';
import { type Dropped, newBytes, segmentsOf, type Transmission } from '../../src/emit/line/transmission.js';
import type { Bunching } from '../../src/emit/module-profile.js';
import { Delivery } from '../../src/run/delivery.js';
import { type LineByte, type ReadingSpeed, readExactly, ticksPerS } from '../emit/line/exact-uart.js';

/** Additions of doubles over some seconds, ms: far below a bit at any speed here. */
const ROUNDING_MS = 1e-5;

interface Sent {
  readonly atMs: number;
  readonly text: string;
}

/** A line and what a delivery makes of it, by a clock that a test tells. */
class Rig {
  readonly line: Line;
  readonly delivery: Delivery;
  readonly transmissions: Transmission[] = [];
  readonly sent: Sent[] = [];
  readonly dropped: Dropped[] = [];
  #nowMs = 0;

  constructor(baud: number, bunching: Bunching | null = null) {
    this.line = new Line({ baud, transmitBufferBytes: 1_000_000, overflow: 'drop' });
    this.delivery = new Delivery((text) => this.sent.push({ atMs: this.#nowMs, text }), bunching);
  }

  submit(atMs: number, bytes: Uint8Array): void {
    this.line.submit(atMs, [newBytes(0, bytes, 'test', [])]);
  }

  /** The module is thought through up to a time. */
  think(untilMs: number): void {
    const sent: Transmission[] = [];
    this.line.advance(untilMs, [], sent, this.dropped);
    this.delivery.push(sent);
    this.transmissions.push(...sent);
  }

  deliver(nowMs: number): void {
    this.#nowMs = nowMs;
    this.delivery.deliver(nowMs);
  }

  /** All that is left. */
  finish(): this {
    this.think(Infinity);
    this.deliver(this.line.endMs);
    this.delivery.flush();
    return this;
  }

  get text(): string {
    return this.sent.map(({ text }) => text).join('');
  }

  /** What went over the line in the end, and what a host's UART makes of it, by brute force. */
  expected(
    speeds: readonly { readonly baud: number; readonly fromMs: number }[],
    lineBauds: readonly number[],
  ): string {
    const ticks = ticksPerS([...speeds.map(({ baud }) => baud), ...lineBauds]);
    const at = (ms: number) => (BigInt(Math.round(ms * 1e6)) * ticks) / 1_000_000_000n;
    const line: LineByte[] = [];
    let end = 0n;
    for (const transmission of this.transmissions) {
      const baud = Math.round(10_000 / transmission.byteMs);
      const bit = ticks / BigInt(baud);
      for (const { startMs, bytes } of segmentsOf(transmission)) {
        let start = at(startMs);
        // Without a gap, but for the ns that it was rounded to.
        if (start - end < ticks / 100_000_000n) start = end;
        for (const byte of bytes) {
          line.push({ byte, start, baud });
          start += 10n * bit;
        }
        end = start;
      }
    }
    const reading: ReadingSpeed[] = speeds.map(({ baud, fromMs }) => ({ baud, from: at(fromMs) }));
    return readExactly(ticks, line, reading)
      .map(({ byte }) => String.fromCharCode(byte))
      .join('');
  }
}

const BAUDS = [1200, 4800, 9600, 12_345, 19_200, 38_400, 115_200];
const someBaud = fc.constantFrom(...BAUDS);
const bytes = fc.uint8Array({ minLength: 1, maxLength: 30 });
/** Bursts, each so long after the one before, µs; many come to stand in a queue. */
const bursts = fc.array(fc.record({ afterUs: fc.integer({ min: 0, max: 60_000 }), bytes }), {
  minLength: 1,
  maxLength: 8,
});
const cuts = fc.array(fc.double({ min: 0, max: 700, noNaN: true }), { maxLength: 60 });

/** What happens to a rig at times, in order, beside deliveries at others. */
interface Step {
  readonly atMs: number;
  readonly act: (rig: Rig) => void;
}

/** Plays bursts through a rig: thought through to the end of the 20 ms that each time falls into, as a run does it. */
function play(rig: Rig, given: readonly { afterUs: number; bytes: Uint8Array }[], steps: readonly Step[]): Rig {
  let atUs = 0;
  for (const burst of given) {
    atUs += burst.afterUs;
    rig.submit(atUs / 1000, burst.bytes);
  }
  for (const { atMs, act } of [...steps].sort((a, b) => a.atMs - b.atMs)) {
    rig.think((Math.floor(atMs / 20) + 1) * 20);
    rig.deliver(atMs);
    act(rig);
  }
  return rig.finish();
}

const nothing = () => {};

describe('a host at a speed of its own', () => {
  it('gets what a UART by brute force reads, however time is told and whatever its speed becomes', () => {
    const speeds = fc.array(fc.record({ baud: someBaud, afterUs: fc.integer({ min: 1, max: 150_000 }) }), {
      minLength: 1,
      maxLength: 4,
    });
    fc.assert(
      fc.property(bursts, someBaud, speeds, cuts, (given, lineBaud, changes, times) => {
        const reading = [{ baud: lineBaud, fromMs: 0 }];
        let atMs = 0;
        const steps: Step[] = times.map((time) => ({ atMs: time, act: nothing }));
        for (const { baud, afterUs } of changes) {
          // An odd part of a µs, so that no two things fall together.
          atMs += afterUs / 1000 + 0.000_123;
          const nowMs = atMs;
          steps.push({ atMs, act: ({ delivery }) => delivery.setHostBaud(baud, nowMs) });
          if (reading.at(-1)?.baud !== baud) reading.push({ baud, fromMs: atMs });
        }
        const rig = play(new Rig(lineBaud), given, steps);
        expect(rig.text).toBe(rig.expected(reading, [lineBaud]));
      }),
      { numRuns: 300 },
    );
  });

  it('the same when the module changes its own, and what has begun is cut off by a loss of power', () => {
    fc.assert(
      fc.property(
        bursts,
        fc.tuple(someBaud, someBaud, someBaud),
        cuts,
        cuts,
        (given, [from, to, host], times, more) => {
          const run = (told: readonly number[]) => {
            const steps: Step[] = [
              ...told.map((time) => ({ atMs: time, act: nothing })),
              { atMs: 33.3, act: ({ line }) => line.setBaud(to) },
              // As a run has it: decided up to the end of the tick, and power fails at its end or later.
              { atMs: 71.7, act: ({ line, dropped }) => line.cut(80.1, [], dropped) },
            ];
            const rig = new Rig(from);
            rig.delivery.setHostBaud(host, 0);
            return play(rig, given, steps);
          };
          const rig = run(times);
          expect(rig.text).toBe(rig.expected([{ baud: host, fromMs: 0 }], [from, to]));
          expect(run(more).text).toBe(rig.text);
        },
      ),
      { numRuns: 300 },
    );
  });

  it('gets no byte before its stop bit has been sampled, and by the times that are announced all of them', () => {
    const data = Uint8Array.from('$GPZDA,093000.00,18,02,2022,00,00*6A\r\n', (character) => character.charCodeAt(0));
    for (const host of BAUDS) {
      for (const lineBaud of [4800, 9600, 38_400]) {
        const rig = new Rig(lineBaud);
        rig.delivery.setHostBaud(host, 0);
        rig.submit(10, data);
        rig.submit(400.25, data);
        rig.think(Infinity);
        const most = 2 * data.length;
        for (let steps = 0; rig.delivery.nextMs < Infinity; steps++) {
          expect(steps).toBeLessThan(4 * most);
          rig.deliver(rig.delivery.nextMs);
        }
        const text = rig.text;
        expect(text).toBe(rig.expected([{ baud: host, fromMs: 0 }], [lineBaud]));
        // The host's line carries a byte in 9.53 of its bits from edge to stop sample.
        for (const [i, { atMs }] of rig.sent.entries()) {
          const before = rig.sent.slice(0, i + 1).reduce((sum, sent) => sum + sent.text.length, 0);
          if (atMs < 400) expect(before).toBeLessThanOrEqual((atMs - 10) / (9531.25 / Math.max(host, lineBaud)) + 1);
        }
        rig.delivery.flush();
        expect(rig.text).toBe(text);
      }
    }
  });

  it('at the line’s speed gets every byte as it is at the end of its stop bit, as one whose speed nobody knows', () => {
    fc.assert(
      fc.property(bursts, someBaud, cuts, (given, baud, times) => {
        const steps = times.map((time) => ({ atMs: time, act: nothing }));
        const plain = play(new Rig(baud), given, steps);
        const known = new Rig(baud);
        known.delivery.setHostBaud(baud, 0);
        expect(play(known, given, steps).sent).toEqual(plain.sent);
        // It may also say so in the middle of a byte.
        const late: Step = { atMs: 17.7, act: ({ delivery }) => delivery.setHostBaud(baud, 17.7) };
        expect(play(new Rig(baud), given, [...steps, late]).text).toBe(plain.text);
      }),
      { numRuns: 100 },
    );
  });

  it('follows the module again once its speed is no longer known', () => {
    const rig = new Rig(9600);
    rig.delivery.setHostBaud(4800, 0);
    rig.submit(0, Uint8Array.from([0x55, 0x55]));
    rig.think(5);
    rig.deliver(5);
    expect(rig.text).not.toBe('UU');
    const wrong = rig.text;
    rig.delivery.setHostBaud(null, 5);
    rig.submit(10, Uint8Array.from([0x41, 0x42]));
    expect(rig.finish().text).toBe(`${wrong}AB`);
  });
});

describe('what the module hears', () => {
  const command = Uint8Array.from('$PLOD,SPEED,115200*6B\r\n', (character) => character.charCodeAt(0));

  it('is what its own UART reads: as sent at its speed, else as by brute force', () => {
    const delivery = new Delivery(nothing, null);
    expect(delivery.hear(command, 9600)).toEqual(command);
    for (const host of BAUDS) {
      delivery.setHostBaud(host, 0);
      for (const module of BAUDS) {
        const ticks = ticksPerS([host, module]);
        const bit = ticks / BigInt(host);
        const line = Array.from(command, (byte, i) => ({ byte, start: BigInt(10 * i) * bit, baud: host }));
        const expected = readExactly(ticks, line, [{ baud: module, from: 0n }]).map(({ byte }) => byte);
        expect([...delivery.hear(command, module)]).toEqual(expected);
        if (host === module) expect(delivery.hear(command, module)).toEqual(command);
      }
    }
  });
});

describe('bunched delivery', () => {
  const bunching = fc.record({
    holdMs: fc.integer({ min: 100, max: 30_000 }).map((us) => us / 1000 + 0.000_37),
    packetBytes: fc.integer({ min: 1, max: 64 }),
  });

  it('loses nothing, and the bunches are the same however time is told', () => {
    fc.assert(
      fc.property(bursts, someBaud, fc.option(someBaud), bunching, cuts, (given, baud, host, how, times) => {
        const run = (told: readonly number[], bunches: Bunching | null) => {
          const rig = new Rig(baud, bunches);
          rig.delivery.setHostBaud(host, 0);
          return play(
            rig,
            given,
            told.map((time) => ({ atMs: time, act: nothing })),
          );
        };
        const bunched = run(times, how);
        expect(bunched.text).toBe(run(times, null).text);
        expect(bunched.sent.map(({ text }) => text)).toEqual(run([], how).sent.map(({ text }) => text));
        for (const { text } of bunched.sent) expect(text.length).toBeLessThanOrEqual(how.packetBytes);
      }),
      { numRuns: 200 },
    );
  });

  it('delivers when the packet is full, or its oldest byte has waited for the hold time', () => {
    // 1 ms a byte.
    const rig = new Rig(10_000, { holdMs: 16, packetBytes: 10 });
    rig.submit(100, new Uint8Array(25).fill(0x41));
    rig.submit(200, new Uint8Array(3).fill(0x42));
    rig.think(Infinity);
    while (rig.delivery.nextMs < Infinity) rig.deliver(rig.delivery.nextMs);
    // Bytes have come at 101, 102, …: ten by 110, ten more by 120, and the 21st, of 121, waits until 137.
    const expected = [
      [110, 'A'.repeat(10)],
      [120, 'A'.repeat(10)],
      [137, 'A'.repeat(5)],
      [217, 'BBB'],
    ] as const;
    expect(rig.sent.map(({ text }) => text)).toEqual(expected.map(([, text]) => text));
    for (const [i, [atMs]] of expected.entries()) {
      expect(Math.abs((rig.sent[i]?.atMs as number) - atMs)).toBeLessThan(ROUNDING_MS);
    }
  });

  it('ends and begins while bytes wait: they go out at once, and nothing changes its place', () => {
    const rig = new Rig(10_000);
    rig.submit(
      0,
      Uint8Array.from({ length: 60 }, (_, i) => 32 + i),
    );
    rig.think(Infinity);
    rig.deliver(10);
    rig.delivery.bunch({ holdMs: 1000, packetBytes: 4096 });
    rig.deliver(30);
    expect(rig.text).toHaveLength(10);
    rig.delivery.bunch({ holdMs: 5, packetBytes: 8 });
    rig.deliver(40);
    // What had waited until 30; then the bytes of 31 to 36, the first of which had waited for 5 ms.
    expect(rig.text).toHaveLength(36);
    rig.delivery.bunch(null);
    rig.deliver(41);
    expect(rig.text).toHaveLength(41);
    rig.finish();
    expect(rig.text).toBe(Array.from({ length: 60 }, (_, i) => String.fromCharCode(32 + i)).join(''));
  });

  it('keeps the end of a sentence that is cut off, and loses nothing when the run is stopped or broken off', () => {
    for (const isAborted of [false, true]) {
      const rig = new Rig(10_000, { holdMs: 500, packetBytes: 4096 });
      rig.submit(0, new Uint8Array(30).fill(0x41));
      rig.submit(0, new Uint8Array(30).fill(0x42));
      rig.think(20);
      rig.deliver(12.5);
      const endMs = rig.delivery.stopAfter(12.5);
      expect(Math.abs(endMs - 30)).toBeLessThan(ROUNDING_MS);
      if (isAborted) rig.delivery.cut(12.5);
      else rig.deliver(endMs);
      expect(rig.text).toBe('');
      rig.delivery.flush();
      expect(rig.text).toBe('A'.repeat(isAborted ? 12 : 30));
      expect(rig.delivery.nextMs).toBe(Infinity);
    }
  });
});

it('a port that finds out about the host’s speed while it is sent to disturbs nothing', () => {
  const data = Uint8Array.from({ length: 200 }, (_, i) => (7 * i) & 0xff);
  const got: string[] = [];
  let nowMs = 0;
  const delivery = new Delivery((text) => {
    // As a pty does: it looks first, then takes the bytes.
    if (nowMs === 40) delivery.setHostBaud(19_200, nowMs);
    got.push(text);
  }, null);
  const line = new Line({ baud: 9600, transmitBufferBytes: 4096, overflow: 'drop' });
  line.submit(0, [newBytes(0, data, 'test', [])]);
  const sent: Transmission[] = [];
  line.advance(Infinity, [], sent, []);
  delivery.push(sent);
  for (nowMs = 10; nowMs < 300; nowMs += 10) delivery.deliver(nowMs);
  delivery.flush();
  const rig = new Rig(9600);
  rig.transmissions.push(...sent);
  const speeds = [
    { baud: 9600, fromMs: 0 },
    { baud: 19_200, fromMs: 40 },
  ];
  expect(got.join('')).toBe(rig.expected(speeds, [9600]));
});
