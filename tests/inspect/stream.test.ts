import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { gzipSync } from 'node:zlib';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { scenarioOfFailure } from '../../src/faults/catalogue.js';
import { inspectPage } from '../../src/inspect/inspect-page.js';
import { inspectStream, type StreamChunk } from '../../src/inspect/inspect-stream.js';
import { inspectText as inspectReportText } from '../../src/inspect/inspect-text.js';
import { liveChunks } from '../../src/inspect/live-chunks.js';
import { openLog, openStandardInput } from '../../src/inspect/log-source.js';
import type { PortSource, SourceListener } from '../../src/inspect/port-source.js';
import { playSeen } from '../faults/shown/seen.js';
import { line } from '../grammar/helper.js';
import { inspectDeliveries, inspectText, itemOf } from './helper.js';

const FOLDER = mkdtempSync(join(tmpdir(), 'lodestub-inspect-'));
afterAll(() => rmSync(FOLDER, { recursive: true }));

let log = '';
beforeAll(async () => {
  log = (await playSeen(scenarioOfFailure({ lines: ['duration: 30 s'] }))).text;
});

function fileOf(name: string, content: string | Buffer): string {
  const path = join(FOLDER, name);
  writeFileSync(path, content, typeof content === 'string' ? 'latin1' : undefined);
  return path;
}

async function* chunksOf(source: AsyncIterable<string>): AsyncGenerator<StreamChunk> {
  for await (const text of source) yield { text, atMs: null };
}

async function inspectFile(path: string, forS = Infinity) {
  const { chunks } = await openLog(path);
  return inspectStream(chunksOf(chunks), { name: path, kind: 'file' }, { caution: 'a caution', forS });
}

describe('a log', () => {
  it('is the same compressed, whatever it is called, and from standard input', async () => {
    const plain = await inspectFile(fileOf('a.nmea', log));
    const packed = await inspectFile(fileOf('b.log', gzipSync(Buffer.from(log, 'latin1'))));
    const { chunks } = await openStandardInput(Readable.from([gzipSync(Buffer.from(log, 'latin1'))]));
    const input = await inspectStream(chunksOf(chunks), { name: '-', kind: 'file' }, { caution: 'a caution' });
    expect(plain.stream.bytes).toBe(log.length);
    for (const other of [packed, input]) {
      expect({ ...other, stream: { ...other.stream, name: '' } }).toEqual({
        ...plain,
        stream: { ...plain.stream, name: '' },
      });
    }
  });

  it('gives the same report however it is cut', () => {
    const whole = inspectText(log);
    const cuts = fc.array(fc.nat({ max: log.length }), { maxLength: 40 });
    fc.assert(
      fc.property(cuts, (places) => {
        const at = [0, ...places.sort((a, b) => a - b), log.length];
        const pieces = at.slice(1).map((to, i) => ({ text: log.slice(at[i], to), atMs: null }));
        expect(inspectDeliveries(pieces)).toEqual(whole);
      }),
      { numRuns: 25 },
    );
  });

  it('is inspected whatever bytes stand in it', () => {
    const damage = fc.array(fc.record({ at: fc.nat({ max: log.length - 1 }), byte: fc.nat({ max: 255 }) }), {
      minLength: 1,
      maxLength: 200,
    });
    fc.assert(
      fc.property(damage, (all) => {
        const bytes = Buffer.from(log, 'latin1');
        for (const { at, byte } of all) bytes[at] = byte;
        const report = inspectText(bytes.toString('latin1'));
        expect(report.stream.bytes).toBe(log.length);
        for (const { reason } of report.items) expect(reason).not.toMatch(/NaN|Infinity|undefined|null/);
      }),
      { numRuns: 25 },
    );
  });

  it('is inspected up to a time', async () => {
    const report = await inspectFile(fileOf('a.nmea', log), 10);
    const { stream } = report;
    // Its first epochs begin 0 to 9 s after the start.
    expect(stream).toMatchObject({ epochs: 10, durationS: 9, isCutOff: false });
    expect(itemOf(report, 'stream').verdict).toBe('good');
  });

  it('that is long is not read on once the time is up', async () => {
    let read = 0;
    async function* pieces(): AsyncGenerator<StreamChunk> {
      for (let at = 0; at < log.length; at += 100) {
        read += 100;
        yield { text: log.slice(at, at + 100), atMs: null };
      }
    }
    await inspectStream(pieces(), { name: 'a', kind: 'file' }, { caution: 'a caution', forS: 5 });
    expect(read).toBeLessThan(log.length / 2);
  });

  it('of which the reading is stopped amid a sentence is not told to be cut off', async () => {
    const amid = log.lastIndexOf('*') - 5;
    let asked = 0;
    async function* halves(): AsyncGenerator<StreamChunk> {
      yield { text: log.slice(0, amid), atMs: null };
      yield { text: log.slice(amid), atMs: null };
    }
    for (const forS of [Infinity, 3600]) {
      const limits = { caution: 'a caution', forS, isStopped: () => ++asked > 0 };
      const { stream } = await inspectStream(halves(), { name: 'a', kind: 'file' }, limits);
      expect(stream.isCutOff).toBe(false);
      expect(stream.epochs).toBeGreaterThanOrEqual(29);
    }
  });

  it('that ends in the middle of a sentence gets a remark, and no failure', () => {
    const report = inspectText(log.slice(0, log.lastIndexOf('*') - 5));
    expect(itemOf(report, 'stream')).toMatchObject({ verdict: 'remark', reason: expect.stringMatching('no end') });
    expect(report.stream.isCutOff).toBe(true);
    expect(report.items.filter(({ verdict }) => verdict === 'bad')).toEqual([]);
  });

  it('with binary amid is inspected, and its share told', () => {
    const middle = log.indexOf('\r\n', log.length / 2) + 2;
    const binary = '\x01\xc6\xfe\x80'.repeat(200);
    const report = inspectText(log.slice(0, middle) + binary + log.slice(middle));
    expect(report.stream).toMatchObject({ noiseBytes: 800, binaryBytes: 800 });
    expect(itemOf(report, 'stream').reason).toContain('800 bytes');
    expect(report.sentences.checksums.good).toBe(inspectText(log).sentences.checksums.good);
  });

  it.each([
    ['inspect.empty', 'not a single byte', ''],
    ['inspect.not-nmea', 'text without sentences', 'Dear reader,\nthis is a letter.\n'],
    ['inspect.not-nmea', 'XML, such as GPX', '<?xml version="1.0"?>\n<gpx></gpx>\n'],
    ['inspect.not-nmea', 'a RINEX file', '     3.04           N: GNSS NAV DATA    M           RINEX VERSION / TYPE\n'],
    ['inspect.not-nmea', 'binary data', '\xc6\x59\x04\x00\x9a\x81\x00\x01'.repeat(100)],
    ['inspect.not-nmea', 'text without sentences', '$GPGGA,120000.00,,,,,0*00\r\n'],
  ])('is named as what it is: %s, %s', async (code, what, content) => {
    const failure = inspectFile(fileOf('other', content));
    await expect(failure).rejects.toMatchObject({ code, received: expect.stringContaining(what) });
  });

  it('that is not there, is a folder, or damaged is named so', async () => {
    await expect(openLog(join(FOLDER, 'none'))).rejects.toMatchObject({ code: 'inspect.missing' });
    await expect(openLog(FOLDER)).rejects.toMatchObject({ code: 'inspect.folder' });
    const packed = gzipSync(Buffer.from(log, 'latin1'));
    const cut = packed.subarray(0, packed.length / 2);
    await expect(inspectFile(fileOf('cut.gz', cut))).rejects.toMatchObject({ code: 'inspect.damaged' });
  });
});

describe('a live port', () => {
  function fakeSource() {
    let listener: SourceListener | null = null;
    const source: PortSource = {
      name: 'fake',
      hasSpeed: false,
      setSpeed: async () => {},
      hear: (hearing) => {
        listener = hearing;
      },
      close: async () => {},
    };
    const send = (text: string, atMs: number) => listener?.onBytes(Buffer.from(text, 'latin1'), atMs);
    return { source, send, goes: (why: string) => listener?.onGone(why) };
  }

  it('is listened to for its time, from the first $ on', async () => {
    vi.useFakeTimers();
    try {
      const { source, send } = fakeSource();
      const chunks: StreamChunk[] = [];
      const reading = (async () => {
        const options = { forMs: 3000, isStopped: () => false, onGone: () => {}, nowMs: () => 4010 };
        for await (const chunk of liveChunks(source, options)) chunks.push(chunk);
      })();
      await vi.advanceTimersByTimeAsync(10);
      send('GGA,half*00\r\n$GPGGA', 1000);
      await vi.advanceTimersByTimeAsync(500);
      send(',1\r\n', 1500);
      await vi.advanceTimersByTimeAsync(3000);
      await reading;
      expect(chunks).toEqual([
        { text: '$GPGGA', atMs: 1000 },
        { text: ',1\r\n', atMs: 1500 },
        { text: '', atMs: 4010, end: { gone: null } },
      ]);
    } finally {
      vi.useRealTimers();
    }
  });

  it('ends earlier where it is stopped, or where the port goes, which is told', async () => {
    vi.useFakeTimers();
    try {
      for (const how of ['stop', 'gone']) {
        const { source, goes } = fakeSource();
        let isStopped = false;
        const why: string[] = [];
        const options = { forMs: 60_000, isStopped: () => isStopped, onGone: (text: string) => why.push(text) };
        const reading = (async () => {
          for await (const { text, end } of liveChunks(source, options)) {
            expect(text).toBe('');
            expect(end).toEqual({ gone: how === 'stop' ? null : 'the device has gone' });
          }
        })();
        await vi.advanceTimersByTimeAsync(100);
        if (how === 'stop') isStopped = true;
        else goes('the device has gone');
        await vi.advanceTimersByTimeAsync(100);
        await reading;
        expect(why).toEqual(how === 'stop' ? [] : ['the device has gone']);
      }
    } finally {
      vi.useRealTimers();
    }
  });

  it('tells delay and jitter by its times of arrival', async () => {
    const { deliveries } = await playSeen(scenarioOfFailure(null));
    const start = Date.parse('2026-03-01T12:00:00Z');
    const live = deliveries.map(({ atMs, text }) => ({ text, atMs: start + atMs }));
    const { timing, time } = inspectDeliveries(live, { kind: 'port', isArrivalUtc: true, openedMs: start });
    expect(timing.source).toBe('arrival');
    expect(timing.intervalS).toBeCloseTo(1, 1);
    // A module speaks 50 to 300 ms after its epoch (common practice).
    expect(timing.delayMs?.median).toBeGreaterThan(20);
    expect(timing.delayMs?.median).toBeLessThan(400);
    expect(Math.abs(time.clockOffsetS as number)).toBeLessThan(0.5);
  });

  /** Inspects what was sent by 12:00:00 + so many s, listened to until `endS`. */
  async function heardUntil(seconds: readonly number[], endS: number, gone: string | null = null) {
    const start = Date.parse('2026-03-01T12:00:00Z');
    async function* chunks(): AsyncGenerator<StreamChunk> {
      for (const second of seconds) {
        const time = `1200${String(second).padStart(2, '0')}`;
        const text = line(`GPRMC,${time},A,4700.0000,N,00800.0000,E,0.0,0.0,010326,,,A`);
        yield { text, atMs: start + second * 1000 + 100 };
      }
      yield { text: '', atMs: start + endS * 1000 + 100, end: { gone } };
    }
    return inspectStream(chunks(), { name: '/dev/ttyX', kind: 'port', isArrivalUtc: true }, { caution: 'a caution' });
  }

  it('that falls silent has a gap at the end, also after a single epoch', async () => {
    const silent = await heardUntil([0, 1, 2], 15);
    expect(silent.timing).toMatchObject({ gapCount: 1, longestGapS: 13, silentEndS: 13 });
    expect(itemOf(silent, 'gaps').verdict).toBe('bad');
    expect(itemOf(silent, 'gaps').reason).toContain('13 s of silence until the listening ended');
    expect(inspectReportText(silent, { columns: 100 })).toContain('  13 s at the end of the listening');
    const single = await heardUntil([0], 15);
    expect(itemOf(single, 'gaps')).toMatchObject({
      verdict: 'bad',
      reason: expect.stringContaining('nothing for 15 s'),
    });
    for (const endS of [2.2, 3, 3.4]) {
      const alive = await heardUntil([0, 1, 2], endS);
      expect(alive.timing).toMatchObject({ gapCount: 0, silentEndS: null });
      expect(itemOf(alive, 'gaps').verdict).toBe('good');
    }
  });

  it('that goes is bad, and the report says so', async () => {
    const report = await heardUntil([0, 1, 2], 2.5, 'the device has gone');
    expect(report.stream.gone).toBe('the device has gone');
    expect(report.verdict).toBe('bad');
    expect(itemOf(report, 'stream')).toMatchObject({
      verdict: 'bad',
      reason: expect.stringContaining('the port went before the listening ended: the device has gone'),
    });
    expect(inspectPage(report, 'a caution')).toContain('the device has gone');
    await expect(heardUntil([], 1, 'the device has gone')).rejects.toMatchObject({
      code: 'inspect.empty',
      received: expect.stringContaining('the device has gone'),
    });
  });
});
