import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Framing, UartReader } from '../../../src/emit/line/uart-reader.js';
import { type LineByte, type ReadingSpeed, readExactly, ticksPerS } from './exact-uart.js';

/** Additions of doubles over some seconds, ms: far below a bit at any speed here. */
const ROUNDING_MS = 1e-6;

interface Heard {
  readonly byte: number;
  readonly atMs: number;
}

/** What a reader makes of bytes that follow each other without a gap. */
function read(bytes: readonly number[], lineBaud: number, hostBaud: number | null, framing: Framing = 'as-read') {
  const heard: Heard[] = [];
  const reader = new UartReader(hostBaud, framing, (byte, atMs) => heard.push({ byte, atMs }));
  for (const [place, byte] of bytes.entries()) reader.put(byte, (place * 10_000) / lineBaud, lineBaud);
  reader.idleThrough(Infinity);
  return heard;
}

const values = (heard: readonly Heard[]) => heard.map(({ byte }) => byte);

describe('by hand, from how a UART works', () => {
  // 'U' is 01010101: on the line 0 (start), then LSB first 1 0 1 0 1 0 1 0, then 1 (stop).
  it("'U' at 9600 read at 4800: nothing", () => {
    // Samples fall 2k + 1.06 bits behind an edge. Every edge (bits 0, 2, 4, 6, 8) has a high bit behind it: a false
    // start.
    expect(read([0x55], 9600, 4800)).toEqual([]);
  });

  it("'U' at 9600 read at 19200: 0x66 with a framing error, then 0xE6", () => {
    // Samples fall k/2 + 0.27 bits behind the edge: bits 0 0 1 1 2 2 3 3 4 4, levels 0 0 1 1 0 0 1 1 0 0. So the data
    // are 0 1 1 0 0 1 1 0, LSB first 0x66, and the stop bit (bit 4) is low. The line is high in bit 5 and falls at bit
    // 6: bits 6 6 7 7 8 8 9 9 and twice the idle line, levels 0 0 1 1 0 0 1 1 1 1, data 0 1 1 0 0 1 1 1 = 0xE6.
    expect(values(read([0x55], 9600, 19_200))).toEqual([0x66, 0xe6]);
    expect(values(read([0x55], 9600, 19_200, 'nul'))).toEqual([0, 0xe6]);
    expect(values(read([0x55], 9600, 19_200, 'dropped'))).toEqual([0xe6]);
    // Stop bits are sampled 9.53125 bits of the reader behind the edges.
    const [first, second] = read([0x55], 9600, 19_200);
    expect(Math.abs((first?.atMs as number) - 9531.25 / 19_200)).toBeLessThan(ROUNDING_MS);
    expect(Math.abs((second?.atMs as number) - (6000 / 9600 + 9531.25 / 19_200))).toBeLessThan(ROUNDING_MS);
  });

  it('0x00 at 9600 read at 4800: 0xF8', () => {
    // Nine bits low, then high. Samples in bits 1, 3, 5, 7, 9, …: start and three data bits low, five high.
    expect(values(read([0x00], 9600, 4800))).toEqual([0xf8]);
  });

  it('0xFF at 9600: nothing at 4800, 0xFE at 19200, 0xF8 at 38400', () => {
    // One bit low. At 4800 the start sample is in bit 1: false. At 19200 it is low for the start and one data bit more,
    // at 38400 (k/4 + 0.13 bits) for the start and three.
    expect(read([0xff], 9600, 4800)).toEqual([]);
    expect(values(read([0xff], 9600, 19_200))).toEqual([0xfe]);
    expect(values(read([0xff], 9600, 38_400))).toEqual([0xf8]);
  });

  it('0x00 at 1200 read at 9600 is a break: one NUL with a framing error, however long it lasts', () => {
    // 72 of the reader's bits are low: its stop sample is, and no edge follows until the line has been high.
    expect(values(read([0x00], 1200, 9600))).toEqual([0]);
    expect(values(read([0x00], 1200, 9600, 'nul'))).toEqual([0]);
    expect(read([0x00], 1200, 9600, 'dropped')).toEqual([]);
    expect(values(read([0x00, 0x00], 1200, 9600))).toEqual([0, 0]);
  });

  it("'UU' at 4800 without a gap read at 9600: the edge is looked for from the stop sample on", () => {
    // Samples k/2 + 0.27 bits as above: 0x66, stop low in bit 4; high in bit 5; edge at bit 6: bits 6 6 7 7 8 8 9 9 10
    // 10, levels 0 0 1 1 0 0 1 1 0 0 = 0x66 with a low stop bit, the second start bit (10). High in bit 11, edge at bit
    // 12: bits 12 12 13 13 14 14 15 15 16 16: 0x66, low. Edge at bit 18: 18 18 19 19 and idle: 0 0 1 1 1 1 1 1 1 1 =
    // 0xFE.
    expect(values(read([0x55, 0x55], 4800, 9600))).toEqual([0x66, 0x66, 0x66, 0xfe]);
  });
});

describe('tolerance of speeds (8N1; common practice: half a bit in nine and a half, some 5 % in sum)', () => {
  const text = [...'$GPRMC,093000.00,A,6325.83000,N,01023.70200,E*7F\r\n'].map((character) => character.charCodeAt(0));

  it.each([-4, -2, -1, 1, 2, 4])('a line that is %d per cent off reads clean', (percent) => {
    expect(values(read(text, 1_000_000 + percent * 10_000, 1_000_000))).toEqual(text);
  });

  it('begins to fail where the stop sample leaves the stop bit: 9.53125 bits', () => {
    // Too slow a line by 1 - 9 / 9.53125 = 5.57 %: the stop sample falls into the last data bit, which is 0 in ASCII.
    // Too fast by 10 / 9.53125 - 1 = 4.92 %: into the next start bit.
    const speed = (ratio: number) => Math.round(1_000_000 * ratio);
    const [slowest, fastest] = [9 / 9.53125, 10 / 9.53125];
    expect(values(read(text, speed(slowest) + 1, 1_000_000))).toEqual(text);
    expect(values(read(text, speed(slowest) - 1, 1_000_000, 'dropped'))).not.toEqual(text);
    expect(values(read(text, speed(fastest) - 1, 1_000_000))).toEqual(text);
    expect(values(read(text, speed(fastest) + 1, 1_000_000, 'dropped'))).not.toEqual(text);
  });
});

it.each([
  [9600, 4800],
  [9600, 19_200],
  [9600, 115_200],
  [115_200, 9600],
])(
  'a line at %i baud without any gap, read at %i: once the speed is right, one sentence more is damaged at most',
  (lineBaud, wrongBaud) => {
    const sentences = [
      '$GPRMC,093000.00,A,6325.83000,N,01023.70200,E,4.6,31.2,180222,,,A*6A\r\n',
      '$GPGSA,A,3,02,05,12,16,21,23,25,29,31,,,,1.5,0.9,1.2*2E\r\n',
      '$GPGSV,3,1,09,02,13,038,41,05,10,078,43,12,15,109,43,16,14,294,41*6D\r\n',
      '$GPVTG,31.2,T,,M,4.6,N,8.5,K,A*20\r\n',
    ];
    const all = [...sentences, ...sentences];
    const text = all.join('');
    const byteMs = 10_000 / lineBaud;
    const INSTANTS = 300;
    for (let n = 0; n < INSTANTS; n++) {
      const atMs = ((n + 0.37) / INSTANTS) * sentences.join('').length * byteMs;
      let heard = '';
      const reader = new UartReader(wrongBaud, 'as-read', (value) => {
        heard += String.fromCharCode(value);
      });
      reader.setBaud(lineBaud, atMs);
      for (let i = 0; i < text.length; i++) reader.put(text.charCodeAt(i), i * byteMs, lineBaud);
      reader.idleThrough(Infinity);
      let begin = 0;
      const later = all.filter((sentence) => {
        begin += sentence.length;
        return (begin - sentence.length) * byteMs >= atMs;
      });
      expect(heard.endsWith(later.slice(1).join('')), `${atMs} ms`).toBe(true);
    }
  },
);

const BAUDS = [50, 300, 1200, 3600, 4800, 9600, 12_345, 19_200, 31_250, 38_400, 115_200, 921_600, 10_000_000];
const baud = fc.oneof(fc.constantFrom(...BAUDS), fc.integer({ min: 50, max: 1_000_000 }));
const byte = fc.integer({ min: 0, max: 255 });

/** Bytes in runs: each run at a speed, after a gap of whole ns or of whole bits, or none. */
const runs = fc.array(
  fc.record({
    bytes: fc.array(byte, { minLength: 1, maxLength: 12 }),
    baud,
    gap: fc.oneof(
      fc.constant({ ns: 0, bits: 0 }),
      fc.record({ ns: fc.constant(0), bits: fc.integer({ min: 0, max: 30 }) }),
      fc.record({ ns: fc.integer({ min: 0, max: 20_000_000 }), bits: fc.constant(0) }),
    ),
  }),
  { minLength: 1, maxLength: 6 },
);

function lineOf(ticks: bigint, given: readonly { bytes: readonly number[]; baud: number; gap: Gap }[]): LineByte[] {
  const line: LineByte[] = [];
  let at = ticks;
  for (const { bytes, baud: speed, gap } of given) {
    at += (BigInt(gap.ns) * ticks) / 1_000_000_000n + (BigInt(gap.bits) * ticks) / BigInt(speed);
    for (const value of bytes) {
      line.push({ byte: value, start: at, baud: speed });
      at += (10n * ticks) / BigInt(speed);
    }
  }
  return line;
}

interface Gap {
  readonly ns: number;
  readonly bits: number;
}

/** Ticks as ms, as exact as a double is. */
function ms(ticks: bigint, time: bigint): number {
  const whole = (time * 1000n) / ticks;
  return Number(whole) + Number(time * 1000n - whole * ticks) / Number(ticks);
}

/** Feeds a reader with a line, and tells it of idle times in between as `cuts` have it, ms. */
function feed(reader: UartReader, ticks: bigint, line: readonly LineByte[], cuts: readonly number[]): void {
  let cut = 0;
  for (const { byte: value, start, baud: speed } of line) {
    const startMs = ms(ticks, start);
    for (; cut < cuts.length && (cuts[cut] as number) < startMs; cut++) reader.idleThrough(cuts[cut] as number);
    reader.put(value, startMs, speed);
    const endMs = startMs + 10_000 / speed;
    while (cut < cuts.length && (cuts[cut] as number) < endMs) cut++;
  }
  for (; cut < cuts.length; cut++) reader.idleThrough(cuts[cut] as number);
  reader.idleThrough(Infinity);
}

describe('properties', () => {
  it('reads what a UART by brute force reads, in whole numbers, through gaps and changes of the line', () => {
    fc.assert(
      fc.property(runs, baud, (given, hostBaud) => {
        const ticks = ticksPerS([hostBaud, ...given.map((run) => run.baud)]);
        const line = lineOf(ticks, given);
        const expected = readExactly(ticks, line, [{ baud: hostBaud, from: 0n }]);
        const heard: Heard[] = [];
        const reader = new UartReader(hostBaud, 'as-read', (value, atMs) => heard.push({ byte: value, atMs }));
        feed(reader, ticks, line, []);
        expect(values(heard)).toEqual(expected.map((one) => one.byte));
        for (const [i, { atMs }] of heard.entries()) {
          expect(Math.abs(atMs - ms(ticks, expected[i]?.at as bigint))).toBeLessThan(ROUNDING_MS);
        }
        const framed: number[] = [];
        feed(new UartReader(hostBaud, 'dropped', (value) => framed.push(value)), ticks, line, []);
        expect(framed).toEqual(expected.filter((one) => one.isFramed).map((one) => one.byte));
      }),
      { numRuns: 1000 },
    );
  });

  it('the same when the reader changes its speed at any instant', () => {
    const changes = fc.array(fc.record({ baud, afterNs: fc.integer({ min: 0, max: 60_000_000 }) }), { maxLength: 5 });
    fc.assert(
      fc.property(runs, baud, changes, (given, hostBaud, later) => {
        const ticks = ticksPerS([hostBaud, ...later.map((change) => change.baud), ...given.map((run) => run.baud)]);
        const line = lineOf(ticks, given);
        const speeds: ReadingSpeed[] = [{ baud: hostBaud, from: 0n }];
        let from = ticks;
        for (const change of later) {
          from += (BigInt(change.afterNs) * ticks) / 1_000_000_000n;
          // Setting the speed that is set already does nothing.
          if (change.baud !== speeds.at(-1)?.baud) speeds.push({ baud: change.baud, from });
        }
        const heard: number[] = [];
        const reader = new UartReader(hostBaud, 'as-read', (value) => heard.push(value));
        for (const change of speeds.slice(1)) reader.setBaud(change.baud, ms(ticks, change.from));
        feed(reader, ticks, line, []);
        expect(heard).toEqual(readExactly(ticks, line, speeds).map((one) => one.byte));
      }),
      { numRuns: 1000 },
    );
  });

  it('at the line’s speed, or with none of its own, reads every byte as it is', () => {
    fc.assert(
      fc.property(runs, fc.boolean(), (given, isFollowing) => {
        const ticks = ticksPerS(given.map((run) => run.baud));
        const same = given.map((run) => ({ ...run, baud: isFollowing ? run.baud : (given[0]?.baud as number) }));
        const line = lineOf(ticks, same);
        const heard: number[] = [];
        const own = isFollowing ? null : (given[0]?.baud as number);
        feed(new UartReader(own, 'dropped', (value) => heard.push(value)), ticks, line, []);
        expect(heard).toEqual(line.map((one) => one.byte));
      }),
    );
  });

  it('does not depend on when it is told that the line idles', () => {
    const cuts = fc.array(fc.double({ min: 990, max: 1400, noNaN: true }), { maxLength: 40 });
    fc.assert(
      fc.property(runs, baud, cuts, (given, hostBaud, times) => {
        const ticks = ticksPerS([hostBaud, ...given.map((run) => run.baud)]);
        const line = lineOf(ticks, given);
        const heard = [[], times.sort((a, b) => a - b)].map((told) => {
          const got: Heard[] = [];
          const reader = new UartReader(hostBaud, 'as-read', (value, atMs) => got.push({ byte: value, atMs }));
          feed(reader, ticks, line, told);
          return got;
        });
        expect(heard[1]).toEqual(heard[0]);
      }),
    );
  });

  it('never reads more than its line could carry: stop samples are 9.53125 of its bits apart or more', () => {
    fc.assert(
      fc.property(fc.array(byte, { maxLength: 60 }), baud, baud, (bytes, lineBaud, hostBaud) => {
        const heard = read(bytes, lineBaud, hostBaud);
        for (let i = 1; i < heard.length; i++) {
          const apartMs = (heard[i]?.atMs as number) - (heard[i - 1]?.atMs as number);
          expect(apartMs).toBeGreaterThanOrEqual(9531.25 / hostBaud - ROUNDING_MS);
        }
      }),
    );
  });
});
