import { describe, expect, it } from 'vitest';
import { accountedBytes, linesOf, sentBytes } from '../run/helper.js';
import { expectSameSentences, faultEvents, withAndWithout } from './helper.js';
import { ARITHMETIC_DEG, isIntact, placeIn, sentFields, type ToldLine } from './sentence-helper.js';

describe('faults together', () => {
  const TIMELINE = [
    { at: '40 s', for: '10 s', fault: 'silence' },
    { at: '10 s', for: '40 s', fault: 'bad-checksum', with: { share: 0.5 } },
    { at: '15 s', for: '30 s', fault: 'cut-then-dollar', with: { share: 0.5 } },
    { at: '20 s', fault: 'garbage-bytes', with: { share: 0.3, size: 5 } },
    { at: '25 s', for: '10 s', fault: 'frozen-position' },
    { at: '30 s', for: '2 s', surroundings: 'tunnel' },
  ];

  it('are each on record by their place in the timeline', async () => {
    const { struck } = await withAndWithout(TIMELINE);
    expect(faultEvents(struck.journal).map(({ id, kind, phase, atMs }) => `${atMs} ${id} ${kind} ${phase}`)).toEqual([
      '10000 2.1 bad-checksum begin',
      '15000 3.1 cut-then-dollar begin',
      '20000 4.1 garbage-bytes begin',
      '25000 5.1 frozen-position begin',
      '35000 5.1 frozen-position end',
      '40000 1.1 silence begin',
      '45000 3.1 cut-then-dollar end',
      '50000 2.1 bad-checksum end',
      '50000 1.1 silence end',
      '60000 4.1 garbage-bytes end',
    ]);
    const inForce = linesOf(struck.journal, 'epoch').map(({ faults }) => faults);
    expect(inForce[9]).toEqual([]);
    expect(inForce[26]).toEqual(['2.1', '3.1', '4.1', '5.1']);
    expect(inForce[42]).toEqual(['1.1', '2.1', '3.1', '4.1']);
    expect(inForce[59]).toEqual(['4.1']);
  });

  it('all name themselves on a sentence that they share, and the journal still accounts for the stream', async () => {
    const { struck } = await withAndWithout(TIMELINE);
    const byHands = new Set(linesOf(struck.journal, 'sentence').map(({ faults }) => faults.join()));
    for (const hands of ['', '2.1', '3.1', '2.1,3.1']) expect(byHands.has(hands)).toBe(true);
    expect(struck.bytes.equals(accountedBytes(struck.journal))).toBe(true);
    for (const line of linesOf(struck.journal, 'sentence')) {
      if (line.faults.length > 0) expect(line.sentBase64).toBeDefined();
      else expect(sentBytes(line).toString('latin1')).toBe(`${line.text}\r\n`);
    }
  });

  it('do not move each other: adding one leaves what the others do', async () => {
    const checksums = TIMELINE.slice(1, 2);
    const alone = (await withAndWithout(checksums)).struck;
    // Second in the timeline either way would change its name, and with it its stream: it stays first.
    const { struck } = await withAndWithout([...checksums, ...TIMELINE.slice(2, 5)]);
    const struckBy = (played: typeof struck) =>
      linesOf(played.journal, 'sentence')
        .filter(({ epoch, faults }) => epoch < 15 && faults.includes('1.1'))
        .map((line) => sentBytes(line).toString('latin1'));
    expect(struckBy(struck).length).toBeGreaterThan(10);
    expect(struckBy(struck)).toEqual(struckBy(alone));
  });

  it('of sentence and byte stage leave the sentences as the module means them', async () => {
    const { struck, plain } = await withAndWithout(TIMELINE.slice(1, 4));
    expectSameSentences(struck, plain);
  });
});

describe('two faults on one sentence', () => {
  const LF = { at: '0 s', fault: 'line-ending', with: { ending: 'lf' } };
  const BAD = { at: '0 s', fault: 'bad-checksum', with: { share: 1 } };
  const ALTERED = { at: '0 s', fault: 'altered-digits', with: { share: 1 } };
  const MISSING = { at: '0 s', fault: 'checksum-form', with: { form: 'missing' } };

  /** What goes out for each sentence but the banner, with the faults that had a hand in it. */
  async function sent(...timeline: readonly unknown[]): Promise<(readonly [string, string])[]> {
    const { struck } = await withAndWithout(timeline, { duration: '10 s' });
    return linesOf(struck.journal, 'sentence')
      .filter(({ text }) => text.slice(3, 6) !== 'TXT')
      .map((line) => [sentBytes(line).toString('latin1'), line.faults.join()] as const);
  }

  it('do the damage last, whatever their order: what one has damaged, the next does not mend', async () => {
    // Digits first: they are others, and the checksum fits neither.
    for (const [timeline, digits, sum] of [
      [[ALTERED, BAD], '1.1', '2.1'],
      [[BAD, ALTERED], '2.1', '1.1'],
    ] as const) {
      for (const [text, faults] of await sent(...timeline)) {
        // Without a fix VTG has no digit to alter.
        const hands = /\d/.test(text.slice(0, text.lastIndexOf('*'))) ? `${digits},${sum}` : sum;
        expect([isIntact(text), faults]).toEqual([false, hands]);
      }
    }
    const missing = await sent(MISSING, BAD);
    for (const [text, faults] of missing) expect([text.includes('*'), faults]).toEqual([false, '1.1']);
    const both = await sent(BAD, MISSING);
    for (const [text, faults] of both) expect([text.includes('*'), faults]).toEqual([true, '1.1']);
  });

  it.each([
    ['blank-fields', { which: ['time'] }],
    ['odd-status', {}],
    ['status-conflict', { sentences: 'all' }],
    ['half-filled-gsv', {}],
    ['stale-sentence', { sentences: 'all' }],
    ['altered-digits', { share: 1, count: 3 }],
  ])('%s changes the same sentences behind one that spoils the checksum as before it', async (fault, settings) => {
    const other = { at: '0 s', fault, with: settings };
    // The entry has its name, and with it what chance gives it, from its id.
    const before = await sent({ ...other, id: 'other' }, { ...BAD, id: 'bad' });
    const behind = await sent({ ...BAD, id: 'bad' }, { ...other, id: 'other' });
    expect(behind).toEqual(before);
    const hands = new Set(behind.map(([, faults]) => faults));
    expect(hands.has('other.1,bad.1')).toBe(true);
    for (const [text] of behind) expect(isIntact(text)).toBe(false);
  });

  it('with a tell-tale: it is on record with the sentence that has it, not with a stale one', async () => {
    const telling = { ...BAD, with: { share: 1, 'tell-tale': true } };
    const stale = { at: '0 s', fault: 'stale-sentence', with: { sentences: 'all' } };
    const { struck } = await withAndWithout([telling, stale], { duration: '10 s' });
    const told = (linesOf(struck.journal, 'sentence') as ToldLine[]).filter(({ tellTale }) => tellTale !== undefined);
    expect(told.length).toBeGreaterThan(15);
    for (const line of told) {
      const place = placeIn(sentFields(line));
      expect(Math.abs((place?.latitudeDeg ?? 99) - (line.tellTale?.latitudeDeg ?? 0))).toBeLessThan(ARITHMETIC_DEG);
    }
  });

  it('keep a checksum in small letters, whatever changes the sentence or the checksum', async () => {
    const lower = { at: '0 s', fault: 'checksum-form' };
    const blank = { at: '0 s', fault: 'blank-fields', with: { which: ['course', 'time'] } };
    for (const timeline of [
      [lower, blank, { at: '0 s', fault: 'odd-status' }, { at: '0 s', fault: 'status-conflict' }],
      [lower, BAD],
      [BAD, lower],
    ]) {
      const lines = await sent(...timeline);
      expect(lines.some(([text]) => /\*.?[a-f]/.test(text))).toBe(true);
      for (const [text] of lines) {
        expect(text).toMatch(/\*[0-9a-f]{2}\r\n$/);
        expect(isIntact(text.replace(/\*..\r\n$/, (sum) => sum.toUpperCase()))).toBe(!timeline.includes(BAD));
      }
    }
  });

  it('whose order does not matter give the same, whichever comes first', async () => {
    const texts = (lines: (readonly [string, string])[]) => lines.map(([text]) => text);
    const blank = { at: '0 s', fault: 'blank-fields', with: { which: ['time'] } };
    expect(texts(await sent(LF, blank))).toEqual(texts(await sent(blank, LF)));
  });

  it('act by their places in the timeline, not by when they began', async () => {
    const later = { ...ALTERED, at: '3 s' };
    const lines = await sent(later, BAD);
    const hands = lines.map(([, faults]) => faults);
    expect(new Set(hands)).toEqual(new Set(['2.1', '1.1,2.1']));
    // Digits are altered before the checksum is spoilt, though the checksum's fault is the older one.
    expect(hands.indexOf('1.1,2.1')).toBeGreaterThan(hands.indexOf('2.1'));
  });

  it('with a sentence that is lost: nothing is left for the next', async () => {
    const lost = { at: '0 s', fault: 'lost-sentence', with: { share: 1, sentences: ['RMC'] } };
    const { struck } = await withAndWithout([lost, BAD], { duration: '10 s' });
    const dropped = linesOf(struck.journal, 'dropped');
    expect(dropped).toHaveLength(10);
    for (const { text, faults } of dropped) expect([text.slice(3, 6), faults.join()]).toEqual(['RMC', '1.1']);
    expect(struck.bytes.equals(accountedBytes(struck.journal))).toBe(true);
  });
});
