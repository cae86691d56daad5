import { describe, expect, it } from 'vitest';
import { linesOf, sentBytes } from '../run/helper.js';
import { expectSameSentences, expectShare, faultEvents, JOURNAL_MS, withAndWithout } from './helper.js';
import { ALL_PLACES, ARITHMETIC_DEG, kindOf, placeIn, sentFields, sentText, strike } from './sentence-helper.js';

describe('cut-then-dollar', () => {
  it('breaks the share of the sentences off, and the next one begins at once', async () => {
    const timeline = [{ at: '0 s', fault: 'cut-then-dollar', with: { share: 0.4 } }];
    const { struck } = await withAndWithout(timeline, { duration: '300 s' });
    const lines = linesOf(struck.journal, 'sentence');
    const cut = lines.filter(({ sentBase64 }) => sentBase64 !== undefined);
    expectShare(cut.length, lines.length, 0.4);
    for (const line of cut) {
      const sent = sentBytes(line).toString('latin1');
      expect(line.faults).toEqual(['1.1']);
      expect(line.text.startsWith(sent)).toBe(true);
      // The $ at least is there, and the last digit of the checksum is not.
      expect(sent.length).toBeGreaterThanOrEqual(1);
      expect(sent.length).toBeLessThan(line.text.length);
    }
    for (const [i, line] of lines.entries()) {
      const next = lines[i + 1];
      // The banner is a batch of its own; an epoch's sentences are one.
      if (next === undefined || next.epoch !== line.epoch || line.text.slice(3, 6) === 'TXT') continue;
      expect(Math.abs(next.startMs - line.endMs)).toBeLessThanOrEqual(JOURNAL_MS);
    }
    // What the host sees: a $ in the middle of a line.
    expect(struck.bytes.toString('latin1')).toMatch(/\$GP[^$\r\n]*\$GP/);
    // Cuts come anywhere, the very beginning and the checksum too.
    const shares = cut.map((line) => sentBytes(line).length / line.text.length);
    expect(Math.min(...shares)).toBeLessThan(0.1);
    expect(Math.max(...shares)).toBeGreaterThan(0.95);
  });

  it('is in force from its epoch to its end, and on record', async () => {
    const { struck } = await withAndWithout([{ at: '20 s', for: '3 s', fault: 'cut-then-dollar', with: { share: 1 } }]);
    for (const { epoch, faults } of linesOf(struck.journal, 'sentence')) {
      expect(faults).toEqual(epoch >= 20 && epoch < 23 ? ['1.1'] : []);
    }
    const settings = { share: 1, sentences: 'all', 'tell-tale': false };
    expect(faultEvents(struck.journal)).toEqual([
      { id: '1.1', kind: 'cut-then-dollar', phase: 'begin', atMs: 20_000, with: settings },
      { id: '1.1', kind: 'cut-then-dollar', phase: 'end', atMs: 23_000, with: settings },
    ]);
  });

  it('leaves position and noise of the rest as they are', async () => {
    const { struck, plain } = await withAndWithout([{ at: '10 s', for: '20 s', fault: 'cut-then-dollar' }]);
    expectSameSentences(struck, plain);
  });

  it('strikes the chosen kinds alone', async () => {
    const { lines } = await strike('cut-then-dollar', { share: 1, sentences: ['GGA'] });
    for (const line of lines) expect(line.faults, line.text).toEqual(kindOf(line) === 'GGA' ? ['1.1'] : []);
  });
});

describe('cut-then-dollar with a tell-tale', () => {
  it('cuts behind it, so that the whole of it is there, and never the whole sentence', async () => {
    const more = { module: ALL_PLACES, duration: '200 s' };
    const { lines } = await strike('cut-then-dollar', { share: 1, 'tell-tale': true }, more);
    const told = lines.filter(({ tellTale }) => tellTale !== undefined);
    for (const line of lines) expect(line.tellTale !== undefined).toBe(/GGA|GLL|RMC|GNS/.test(kindOf(line)));
    for (const line of told) {
      const sent = sentText(line);
      expect(sent.length).toBeLessThan(line.text.length);
      const place = placeIn(sentFields(line));
      expect(Math.abs((place?.latitudeDeg ?? 99) - (line.tellTale?.latitudeDeg ?? 0))).toBeLessThan(ARITHMETIC_DEG);
      expect(Math.abs((place?.longitudeDeg ?? 999) - (line.tellTale?.longitudeDeg ?? 0))).toBeLessThan(ARITHMETIC_DEG);
      expect(sent).toMatch(/,[EW],/);
    }
    // The cut comes anywhere between: right behind the place, and within the checksum.
    expect(told.some((line) => /,[EW],$/.test(sentText(line)))).toBe(true);
    expect(told.some((line) => /\*.?$/.test(sentText(line)))).toBe(true);
  });
});
