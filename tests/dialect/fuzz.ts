import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import type { Dialect, Verdict } from '../../src/dialect/command.js';
import { ascii, countedFrame, FACTS, hex, sentence } from './helper.js';

/** Numbers from 0 to below 2^32, the same for the same seed (xorshift, Marsaglia 2003). */
export function numbers(seed: number): () => number {
  let state = seed === 0 ? 1 : seed >>> 0;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    state >>>= 0;
    return state;
  };
}

/** Commands of the dialects that are tested, to be damaged. */
const VALID: readonly Buffer[] = [
  ...['PLDB,RATE,5', 'PLDB,RATE,99', 'PLDB,ONLY,RMC,GGA', 'PLDB,EVERY,GSV,5', 'PLDB,SETTINGS', 'PLDB,SAVE'].map(
    sentence,
  ),
  ...['PLDB,BAUD,115200', 'PLDB,START,WARM', 'PLDB,STANDBY', 'PLDB,NO', 'CCGPQ,GGA', 'GPGGA,1,2,3'].map(sentence),
  ...['PTST,RATE,5Hz', 'PTST,MENU,RMC,,GGA', 'PTST,NOTE,a:b', 'PTST,ANY'].map(sentence),
  ...['!nap\r\n', '!baud 9600\n', '!facts\r', '$\r\n', '*\r\n', '$PLDB,RATE,5\r\n'].map(ascii),
  ...['07 21 00C8', '01 22 00002580', '02 23 0405', '03 25 01', '04 2B', '05 2C 02', '06 77', '08 21 0005'].map(
    (body) => countedFrame(body),
  ),
  hex('C7 04 01 01 02 03'),
  hex('C719 0102 0E000000 02 000000 0A'),
];

/** What a host that has gone wrong may send. */
const DEBRIS: readonly Buffer[] = [
  ...['$', '$$', '$PLDB', '$PLDB,', ',,,,', '*00', '\r', '\n', '!', '!baud '].map(ascii),
  ...['C7', 'C719', 'C7FF', 'C719 0102 FFFFFFFF', '9B', '9BE4', '9BE431', '9BE431 00 00F0', '4E', '0A', '00'].map(hex),
];

/**
 * A host gone wrong: noise, damaged commands, structured debris and valid commands, in chunks.
 * @param count bytes, at least
 */
export function* madness(seed: number, count: number): Generator<Buffer> {
  const next = numbers(seed);
  for (let sent = 0; sent < count; ) {
    const chunk = chunkOf(next);
    sent += chunk.length;
    yield chunk;
  }
}

function chunkOf(next: () => number): Buffer {
  switch (next() % 4) {
    case 0:
      return Buffer.from(Array.from({ length: 1 + (next() % 200) }, () => next() & 0xff));
    case 1: {
      const valid = VALID[next() % VALID.length] as Buffer;
      const damaged = Buffer.from(valid);
      for (let i = next() % 4; i > 0; i--) damaged[next() % damaged.length] = next() & 0xff;
      return damaged.subarray(next() % 3 === 0 ? next() % damaged.length : 0);
    }
    case 2:
      return Buffer.concat(Array.from({ length: 1 + (next() % 12) }, () => DEBRIS[next() % DEBRIS.length] as Buffer));
    default: {
      const printable = Array.from({ length: 1 + (next() % 300) }, () => 0x20 + (next() % 95));
      return next() % 8 === 0 ? Buffer.from(printable) : (VALID[next() % VALID.length] as Buffer);
    }
  }
}

/** Bytes on the heap once all rubbish has been collected. */
export function heapBytes(): number {
  setFlagsFromString('--expose-gc');
  (runInNewContext('gc') as () => void)();
  return process.memoryUsage().heapUsed;
}

/** What came of a fuzzed listener. */
export interface Fuzzed {
  readonly bytes: number;
  readonly verdicts: Readonly<Record<Verdict, number>>;
  readonly bytesPerS: number;
  /** From a tenth of the way to the end. */
  readonly grownBytes: number;
}

/** Sends madness through a listener of a dialect; every command that comes back must be whole. */
export function fuzz(dialect: Dialect, seed: number, count: number): Fuzzed {
  const listener = dialect.listen();
  const verdicts: Record<Verdict, number> = { done: 0, refused: 0, 'bad-checksum': 0, unknown: 0, noise: 0 };
  const next = numbers(seed + 1);
  let [bytes, atMs, spentMs, early] = [0, 0, 0, 0];
  for (const chunk of madness(seed, count)) {
    const beginMs = performance.now();
    const commands = listener.take(chunk, atMs, FACTS);
    spentMs += performance.now() - beginMs;
    for (const command of commands) {
      verdicts[command.verdict]++;
      if (command.bytes.length === 0) throw new Error(`seed ${seed}: a command of no bytes after ${bytes}`);
    }
    bytes += chunk.length;
    if (early === 0 && bytes > count / 10) early = heapBytes();
    atMs += next() % 50;
  }
  return { bytes, verdicts, bytesPerS: (1000 * bytes) / spentMs, grownBytes: heapBytes() - early };
}
