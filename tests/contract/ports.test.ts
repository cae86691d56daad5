import { performance } from 'node:perf_hooks';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { kinds, openRig, until } from './rigs.js';

/** A write is done within a tick of 20 ms. One in ten may wait for a busy machine, none for a host: that is long. */
const TICK_MS = 20;
const WAITED_MS = 1000;
/** 8 MB are written; what any port may hold is 16 times less, the rest is the test's own garbage, bytes. */
const MEMORY_LIMIT_BYTES = 40 * 1024 * 1024;
const EVERY_BYTE = Buffer.from(Array.from({ length: 256 }, (_, value) => value));

/** UDP carries lines: each chunk ends one, so that it is sent. */
const asLines = (kind: string, chunk: Uint8Array) =>
  kind === 'udp' ? Buffer.concat([chunk, Buffer.from('\n')]) : chunk;

describe.each(kinds)('port %s', (kind) => {
  it('hands every byte value to the host unchanged and in order, however it is cut', async () => {
    const rig = await openRig(kind);
    let expected = Buffer.alloc(0);
    const send = async (chunks: Uint8Array[]) => {
      for (const chunk of chunks) {
        const bytes = asLines(kind, chunk);
        expected = Buffer.concat([expected, bytes]);
        expect(rig.port.write(bytes)).toBe(0);
        // The caller may use its array again.
        bytes.fill(0x55);
      }
      await until(() => rig.received().length >= expected.length, `${expected.length} bytes at the host`);
      expect(rig.received().equals(expected)).toBe(true);
    };
    await send([Buffer.from(EVERY_BYTE)]);
    const chunks = fc.array(fc.uint8Array({ maxLength: 200 }), { maxLength: 8 });
    await fc.assert(fc.asyncProperty(chunks, send), { numRuns: 25 });
    await rig.stop();
    expect(rig.errors).toEqual([]);
  });

  it('may be closed twice, and loses what is written after close', async () => {
    const rig = await openRig(kind);
    rig.port.write(Buffer.from('$GPTXT*00\r\n'));
    await rig.port.close();
    await rig.port.close();
    expect(rig.port.write(Buffer.alloc(100, 65))).toBe(100);
    await rig.stop();
    expect(rig.errors).toEqual([]);
  });

  it('hands over what was written just before close', async () => {
    const rig = await openRig(kind);
    const bytes = Buffer.from(`${'A'.repeat(70)}\r\n`.repeat(20));
    expect(rig.port.write(bytes)).toBe(0);
    if (kind === 'file') await until(() => rig.received().length === bytes.length, 'the file');
    const closing = rig.port.close();
    if (kind !== 'file') await until(() => rig.received().length >= bytes.length, 'the last bytes');
    await closing;
    await rig.stop();
  });
});

/** A file has no host. */
describe.each(kinds.filter((kind) => kind !== 'file'))('port %s with a host that never reads', (kind) => {
  it('never blocks, counts what is lost and holds no more memory', async () => {
    const rig = await openRig(kind, false);
    const chunk = Buffer.from(`${'B'.repeat(62)}\r\n`.repeat(64));
    const before = process.memoryUsage().rss;
    let lost = 0;
    const tookMs: number[] = [];
    for (let i = 0; i < 2048; i++) {
      const start = performance.now();
      lost += rig.port.write(chunk);
      tookMs.push(performance.now() - start);
      if (i % 64 === 0) await new Promise((resolve) => setImmediate(resolve));
    }
    tookMs.sort((a, b) => a - b);
    expect(tookMs[Math.floor(0.9 * tookMs.length)]).toBeLessThan(TICK_MS);
    expect(tookMs.at(-1)).toBeLessThan(WAITED_MS);
    expect(process.memoryUsage().rss - before).toBeLessThan(MEMORY_LIMIT_BYTES);
    // A datagram that nobody takes is lost unseen.
    if (kind !== 'udp') expect(lost).toBeGreaterThan(0);
    await rig.stop();
  });
});

describe.each(kinds.filter((kind) => !['file', 'stdout'].includes(kind)))('port %s with a host that writes', (kind) => {
  it('tells its listener every byte in order', async () => {
    const rig = await openRig(kind);
    rig.send!(Buffer.from(EVERY_BYTE));
    await until(() => rig.hostBytes().length >= 256, '256 bytes from the host');
    expect(rig.hostBytes().equals(EVERY_BYTE)).toBe(true);
    await rig.stop();
  });
});
