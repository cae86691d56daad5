import { readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hasData } from '../authorities/open-data.js';
import { AIRBORNE, COLD_TO_FIX, epochText, latin1, proofOf, replay, sentence } from './helper.js';

const FOLDER = new URL('../../../shared/data/', import.meta.url).pathname;

function logBytes(file: string): Buffer {
  const bytes = readFileSync(FOLDER + file);
  return file.endsWith('.gz') ? gunzipSync(bytes) : bytes;
}

const byte = fc.integer({ min: 0, max: 255 }).map((value) => String.fromCharCode(value));
const junk = fc.array(byte, { maxLength: 40 }).map((bytes) => bytes.join(''));
const ending = fc.constantFrom('\r\n', '\n', '\r', '\r\r\n', '');
const whole = fc
  .tuple(fc.constantFrom('GNVTG,,T,,M,0.0,N,0.0,K,A', 'GPTXT,01,01,02,héllo', 'PXYZ,1', 'GNGSA,A,1,,'), ending)
  .map(([body, end]) => sentence(body, end));
const stamped = fc.integer({ min: 0, max: 86_399 }).map((second) => {
  const two = (value: number) => String(Math.floor(value) % 60).padStart(2, '0');
  return epochText(`${String(Math.floor(second / 3600)).padStart(2, '0')}${two(second / 60)}${two(second)}.00`);
});
const damaged = fc
  .tuple(stamped, fc.nat(100), byte)
  .map(([text, place, other]) => text.slice(0, place) + other + text.slice(place + 1));
/** Whatever a file may hold that somebody takes for a recording: sentences, parts of them, lines of text, binary. */
const stream = fc.array(fc.oneof(junk, whole, stamped, damaged), { maxLength: 30 }).map((parts) => parts.join(''));

describe('without faults and without a shift the bytes on the port are the file’s', () => {
  it('whatever is in it, by the stamps', async () => {
    await fc.assert(
      fc.asyncProperty(stream, async (text) => {
        // A stamp at least must be there.
        const bytes = latin1(text + epochText('120000.00'));
        const { bytes: sent, lines } = await replay(bytes, { baud: 921_600, longestGapS: 1 });
        expect(sent.equals(bytes)).toBe(true);
        expect(proofOf(lines, sent)).toMatchObject({ isProven: true, findings: [] });
      }),
      { numRuns: 150 },
    );
  });

  it('whatever is in it, back to back, however time is cut', async () => {
    await fc.assert(
      fc.asyncProperty(stream, fc.integer({ min: 1, max: 700 }), async (text, cutMs) => {
        const bytes = latin1(`${text}.`);
        const { bytes: sent, lines } = await replay(bytes, { timing: 'line', baud: 9600, cutMs });
        expect(sent.equals(bytes)).toBe(true);
        expect(proofOf(lines, sent)).toMatchObject({ isProven: true, findings: [] });
        const inOne = await replay(bytes, { timing: 'line', baud: 9600 });
        expect(inOne.lines).toEqual(lines);
      }),
      { numRuns: 100 },
    );
  });

  for (const file of [COLD_TO_FIX, AIRBORNE]) {
    it.skipIf(!hasData(file))(`${file} (recorded by a receiver; needs the file)`, async () => {
      const bytes = logBytes(file);
      for (const timing of ['stamps', 'line'] as const) {
        const { bytes: sent, lines, journal } = await replay(bytes, { timing });
        expect(sent.equals(bytes), timing).toBe(true);
        expect(proofOf(lines, sent)).toMatchObject({ isProven: true, findings: [] });
        expect(journal.some(({ type }) => type === 'dropped' || type === 'bytes')).toBe(false);
      }
    });
  }
});
