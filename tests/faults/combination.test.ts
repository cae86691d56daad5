import { describe, expect, it } from 'vitest';
import { accountedBytes, linesOf, sentBytes } from '../run/helper.js';
import { expectSameSentences, faultEvents, withAndWithout } from './helper.js';
import { isIntact } from './sentence-helper.js';

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

  it('act in the order of the timeline: what one has damaged, the next does not mend', async () => {
    const altered = await sent(ALTERED, BAD);
    // Digits first: they are others, and the checksum fits neither.
    for (const [text, faults] of altered) {
      // Without a fix VTG has no digit to alter.
      const hands = /\d/.test(text.slice(0, text.lastIndexOf('*'))) ? '1.1,2.1' : '2.1';
      expect([isIntact(text), faults]).toEqual([false, hands]);
    }
    // Checksum first: it is wrong already, so that no digit is altered for a checksum to match.
    const spoilt = await sent(BAD, ALTERED);
    for (const [text, faults] of spoilt) expect([isIntact(text), faults]).toEqual([false, '1.1']);
    const missing = await sent(MISSING, BAD);
    for (const [text, faults] of missing) expect([text.includes('*'), faults]).toEqual([false, '1.1']);
    const both = await sent(BAD, MISSING);
    for (const [text, faults] of both) expect([text.includes('*'), faults]).toEqual([true, '1.1']);
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
