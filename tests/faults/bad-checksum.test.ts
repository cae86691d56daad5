import { describe, expect, it } from 'vitest';
import { checksum } from '../../src/emit/sentences/checksum.js';
import { linesOf, sentBytes } from '../run/helper.js';
import { expectSameSentences, expectShare, faultEvents, withAndWithout } from './helper.js';
import {
  ALL_PLACES,
  ARITHMETIC_DEG,
  isIntact,
  kindOf,
  placeIn,
  sentFields,
  sentText,
  strike,
} from './sentence-helper.js';

const LONG = { duration: '300 s' };

describe('bad-checksum', () => {
  it('gives the share of the sentences a wrong checksum and leaves their content', async () => {
    const timeline = [{ at: '30 s', for: '240 s', fault: 'bad-checksum', with: { share: 0.3 } }];
    const { struck } = await withAndWithout(timeline, LONG);
    const inForce = linesOf(struck.journal, 'sentence').filter(({ epoch }) => epoch >= 30 && epoch < 270);
    const bad = inForce.filter(({ sentBase64 }) => sentBase64 !== undefined);
    expectShare(bad.length, inForce.length, 0.3);
    for (const line of bad) {
      expect(line.faults).toEqual(['1.1']);
      const sent = sentBytes(line).toString('latin1');
      expect(sent.slice(0, -4)).toBe(line.text.slice(0, -2));
      expect(sent).toMatch(/\*[0-9A-F]{2}\r\n$/);
      expect(sent.slice(-4, -2)).not.toBe(checksum(sent.slice(1, sent.lastIndexOf('*'))));
    }
    // Any of the 255 wrong values may come: of some 700 draws over 200 different ones are sure to (mean 239).
    expect(
      new Set(bad.map((line) => line.text.slice(-2) + sentBytes(line).toString('latin1').slice(-4, -2))).size,
    ).toBeGreaterThan(200);
  });

  it('strikes none outside its time: sentences belong to their epoch', async () => {
    const { struck } = await withAndWithout([{ at: '30 s', for: '2 s', fault: 'bad-checksum', with: { share: 1 } }]);
    for (const { epoch, faults, sentBase64 } of linesOf(struck.journal, 'sentence')) {
      const isStruck = epoch === 30 || epoch === 31;
      expect(faults).toEqual(isStruck ? ['1.1'] : []);
      expect(sentBase64 !== undefined).toBe(isStruck);
    }
    const settings = { share: 1, sentences: 'all', 'tell-tale': false };
    expect(faultEvents(struck.journal)).toEqual([
      { id: '1.1', kind: 'bad-checksum', phase: 'begin', atMs: 30_000, with: settings },
      { id: '1.1', kind: 'bad-checksum', phase: 'end', atMs: 32_000, with: settings },
    ]);
  });

  it('leaves position, noise and times of the rest as they are', async () => {
    const { struck, plain } = await withAndWithout([{ at: '10 s', fault: 'bad-checksum' }]);
    expectSameSentences(struck, plain);
    expect(linesOf(struck.journal, 'sentence').map(({ startMs }) => startMs)).toEqual(
      linesOf(plain.journal, 'sentence').map(({ startMs }) => startMs),
    );
    expect(struck.bytes.length).toBe(plain.bytes.length);
  });

  it('leaves alone a sentence whose checksum another fault has cut off', async () => {
    const timeline = [
      { at: '10 s', fault: 'cut-then-dollar', with: { share: 1 } },
      { at: '10 s', fault: 'bad-checksum', with: { share: 1 } },
    ];
    const { struck } = await withAndWithout(timeline);
    for (const line of linesOf(struck.journal, 'sentence')) {
      const sent = sentBytes(line).toString('latin1');
      if (line.epoch >= 10) {
        expect(line.text.startsWith(sent)).toBe(true);
        expect(line.faults).toEqual(['1.1']);
      }
    }
  });

  it('strikes the chosen kinds alone', async () => {
    const { lines } = await strike('bad-checksum', { share: 1, sentences: ['RMC', 'TXT'] });
    for (const line of lines) expect(isIntact(sentText(line)), line.text).toBe(!/RMC|TXT/.test(kindOf(line)));
  });

  it('never mends what another has made wrong', async () => {
    const bad = { at: '0 s', fault: 'bad-checksum', with: { share: 1 } };
    // With 255 values for each, one sentence in 255 would come out right if the second turned what the first has left.
    const { struck } = await withAndWithout([bad, bad], LONG);
    const lines = linesOf(struck.journal, 'sentence');
    expect(lines.length).toBeGreaterThan(2000);
    for (const line of lines) expect(isIntact(sentText(line)), line.text).toBe(false);
  });
});

describe('bad-checksum with a tell-tale', () => {
  it.each([2, 4, 8])(
    'puts it with %i decimals where the sentence has a place, and the checksum is still wrong',
    async (minutes) => {
      const module = { ...ALL_PLACES, decimals: { minutes }, 'long-lines': true };
      const { lines } = await strike('bad-checksum', { share: 0.5, 'tell-tale': true }, { module });
      const places = new Set<string>();
      for (const line of lines) {
        const { tellTale } = line;
        const isCarrier = line.sentBase64 !== undefined && /GGA|GLL|RMC|GNS/.test(kindOf(line));
        expect(tellTale !== undefined, line.text).toBe(isCarrier);
        expect(isIntact(sentText(line))).toBe(line.sentBase64 === undefined);
        if (tellTale === undefined) continue;
        const place = placeIn(sentFields(line));
        expect(Math.abs((place?.latitudeDeg ?? 99) - tellTale.latitudeDeg)).toBeLessThan(ARITHMETIC_DEG);
        expect(Math.abs((place?.longitudeDeg ?? 999) - tellTale.longitudeDeg)).toBeLessThan(ARITHMETIC_DEG);
        // All else is as it was meant, the number of digits too.
        const shape = /,\d{4}(\.\d+),[NS],\d{5}(\.\d+),[EW],/;
        const sent = sentText(line);
        expect(sent.replace(shape, '').slice(0, -4)).toBe(line.text.replace(shape, '').slice(0, -2));
        expect(sent.length).toBe(line.text.length + 2);
        places.add(JSON.stringify(place));
      }
      const told = lines.filter(({ tellTale }) => tellTale !== undefined);
      for (const name of ['GGA', 'GLL', 'RMC', 'GNS'])
        expect(
          told.some((line) => kindOf(line) === name),
          name,
        ).toBe(true);
      expect(places.size).toBe(told.length);
    },
  );

  it('puts none where the place is blank', async () => {
    const { lines } = await strike(
      'bad-checksum',
      { share: 1, 'tell-tale': true },
      { receiver: { start: 'cold' }, duration: '10 s' },
    );
    expect(lines.filter((line) => kindOf(line) === 'RMC').length).toBeGreaterThan(5);
    for (const line of lines) {
      expect(line.tellTale).toBeUndefined();
      expect(isIntact(sentText(line))).toBe(false);
    }
  });
});
