import { describe, expect, it } from 'vitest';
import { accountedBytes, linesOf } from '../run/helper.js';
import { expectShare, withAndWithout } from './helper.js';
import { sentText } from './sentence-helper.js';

/** Texts of each epoch's sentences (without the banner), by epoch, with the fault and without. */
async function orders(settings: Readonly<Record<string, unknown>>, duration = '60 s') {
  const timeline = [{ at: '0 s', fault: 'sentence-order', with: settings }];
  const { struck, plain } = await withAndWithout(timeline, { duration });
  const byEpoch = (journal: typeof struck.journal) => {
    const epochs = new Map<number, string[]>();
    for (const { epoch, text } of linesOf(journal, 'sentence')) {
      if (text.slice(3, 6) !== 'TXT') epochs.set(epoch, [...(epochs.get(epoch) ?? []), text]);
    }
    return epochs;
  };
  return { struck, sent: byEpoch(struck.journal), meant: byEpoch(plain.journal) };
}

describe('sentence-order', () => {
  it('reversed sends the last first, each as it was meant', async () => {
    const { struck, sent, meant } = await orders({ order: 'reversed' });
    for (const [epoch, texts] of meant) expect(sent.get(epoch)).toEqual([...texts].reverse());
    for (const line of linesOf(struck.journal, 'sentence')) expect(sentText(line)).toBe(`${line.text}\r\n`);
    expect(struck.bytes.equals(accountedBytes(struck.journal))).toBe(true);
  });

  it('shuffled sends the same sentences in ever other orders', async () => {
    const { sent, meant } = await orders({ order: 'shuffled' });
    for (const [epoch, texts] of meant) expect([...(sent.get(epoch) ?? [])].sort()).toEqual([...texts].sort());
    const kinds = [...sent.values()].map((texts) => texts.map((text) => text.slice(3, 6)).join());
    // Ten sentences have 3.6 million orders.
    expect(new Set(kinds).size).toBeGreaterThan(55);
  });

  it('swapped lets two neighbours change places, and not always the same ones', async () => {
    const { sent, meant } = await orders({ order: 'swapped' });
    const firsts = new Set<number>();
    for (const [epoch, texts] of meant) {
      const other = sent.get(epoch) as string[];
      const first = texts.findIndex((text, i) => text !== other[i]);
      expect(other).toEqual([...texts.slice(0, first), texts[first + 1], texts[first], ...texts.slice(first + 2)]);
      firsts.add(first);
    }
    expect(firsts.size).toBeGreaterThan(4);
  });

  it('moves the chosen kinds among themselves: parts of GSV out of order', async () => {
    const { sent, meant } = await orders({ order: 'reversed', sentences: ['GSV'] });
    for (const [epoch, texts] of meant) {
      const turned = texts.filter((text) => text.slice(3, 6) === 'GSV').reverse();
      expect(sent.get(epoch)).toEqual(texts.map((text) => (text.slice(3, 6) === 'GSV' ? turned.shift() : text)));
    }
  });

  it('strikes the share of the epochs, and is on record there', async () => {
    const { struck } = await orders({ order: 'swapped', share: 0.3 }, '400 s');
    const handed = new Set<number>();
    for (const { epoch, faults } of linesOf(struck.journal, 'sentence')) if (faults.includes('1.1')) handed.add(epoch);
    expectShare(handed.size, 400, 0.3);
  });
});
