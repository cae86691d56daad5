import { describe, expect, it } from 'vitest';
import { COMMON_SPEEDS } from '../../src/inspect/common-speeds.js';
import { findSpeed, noSpeedError, ROUNDS_MS, type SpeedLine } from '../../src/inspect/find-speed.js';
import { line } from '../grammar/helper.js';

const SENTENCE = line('GPZDA,120001.00,23,03,1994,00,00');

/** A line in told time: at each speed one text, `everyMs` a time, from when it is listened to on. */
class ToldLine implements SpeedLine {
  nowMs = 0;
  readonly tried: number[] = [];
  #baud = 0;

  constructor(
    readonly textAt: (baud: number) => string,
    readonly everyMs = 1000,
    readonly firstMs = 300,
  ) {}

  setSpeed = async (baud: number) => {
    this.#baud = baud;
    this.tried.push(baud);
  };

  listen = async (forMs: number, take: (text: string) => boolean) => {
    const endMs = this.nowMs + forMs;
    let atMs = this.firstMs + Math.ceil(Math.max(0, this.nowMs - this.firstMs) / this.everyMs) * this.everyMs;
    for (; atMs < endMs; atMs += this.everyMs) {
      const text = this.textAt(this.#baud);
      if (text === '' || !take(text)) continue;
      this.nowMs = atMs;
      return;
    }
    this.nowMs = endMs;
  };
}

/** Bytes as a UART at a wrong speed may read them. */
const GARBAGE = '\x00\xf8\x80\x1e\xff\xe0'.repeat(10);

describe('the search for a speed', () => {
  it.each(COMMON_SPEEDS)('finds %i baud, and no sooner than it is tried', async (baud) => {
    const told = new ToldLine((at) => (at === baud ? SENTENCE.repeat(2) : GARBAGE));
    const found = await findSpeed(told);
    expect(found.baud).toBe(baud);
    expect(told.tried).toEqual(COMMON_SPEEDS.slice(0, COMMON_SPEEDS.indexOf(baud) + 1));
    expect(found.heard.at(-1)).toEqual({ baud, bytes: 2 * SENTENCE.length, sentences: 2, strangeBytes: 0 });
  });

  it('finds a module that sends one sentence a second, at any phase', async () => {
    for (const firstMs of [0, 1, 199, 500, 999]) {
      const told = new ToldLine((at) => (at === 9600 ? SENTENCE : ''), 1000, firstMs);
      expect((await findSpeed(told)).baud).toBe(9600);
      expect(told.nowMs).toBeLessThanOrEqual(ROUNDS_MS[0] as number);
    }
  });

  it('finds a slower module in its second round', async () => {
    const told = new ToldLine((at) => (at === 4800 ? SENTENCE : ''), 3000, 2900);
    const found = await findSpeed(told, { speeds: [9600, 4800] });
    expect(found.baud).toBe(4800);
    expect(told.tried).toEqual([9600, 4800, 9600, 4800]);
  });

  it('leaves a speed early where garbage comes, but not for good', async () => {
    let count = 0;
    const noisy = new ToldLine(() => (++count < 12 ? GARBAGE : SENTENCE.repeat(2) + GARBAGE), 50, 0);
    const found = await findSpeed(noisy, { speeds: [9600], roundsMs: [1200, 3200] });
    expect(found.baud).toBe(9600);
    expect(noisy.tried).toEqual([9600, 9600]);
    const garbage = new ToldLine(() => GARBAGE, 50, 0);
    await findSpeed(garbage, { roundsMs: [1200, 1] });
    expect(garbage.nowMs).toBeLessThan(COMMON_SPEEDS.length * 400);
  });

  it('tells a port without data from one without sentences', async () => {
    const silent = await findSpeed(new ToldLine(() => ''));
    expect(silent.baud).toBe(null);
    expect(noSpeedError('/dev/ttyUSB0', silent)).toMatchObject({
      code: 'inspect.no-data',
      message: expect.stringMatching(/^inspect\.no-data: \/dev\/ttyUSB0: expected sentences, got no byte at any of 9 /),
    });
    const binary = await findSpeed(new ToldLine(() => GARBAGE), { speeds: [9600, 4800], roundsMs: [1000] });
    expect(binary.heard).toEqual([
      { baud: 9600, bytes: 60, sentences: 0, strangeBytes: 60 },
      { baud: 4800, bytes: 60, sentences: 0, strangeBytes: 60 },
    ]);
    expect(noSpeedError('COM3', binary)).toMatchObject({
      code: 'inspect.no-speed',
      received: 'none at any speed (9600 baud 60 bytes, 4800 baud 60 bytes)',
    });
  });

  it('takes no sentence with a wrong checksum, nor text', async () => {
    const wrong = SENTENCE.replace(/\*../, '*00');
    const found = await findSpeed(new ToldLine(() => `${wrong}READY\r\n`), { speeds: [9600], roundsMs: [1200] });
    expect(found).toMatchObject({ baud: null, heard: [{ sentences: 0, strangeBytes: 0 }] });
  });

  it('tells what it tries', async () => {
    const tried: number[] = [];
    const told = new ToldLine((at) => (at === 4800 ? SENTENCE : ''));
    await findSpeed(told, { onTry: (baud) => tried.push(baud) });
    expect(tried).toEqual([9600, 115_200, 4800]);
  });
});
