import { describe, expect, it } from 'vitest';
import { accountedBytes, type JournalLine, linesOf } from '../run/helper.js';
import { expectSameSentences, expectShare, withAndWithout } from './helper.js';
import { kindOf, sentText, strike } from './sentence-helper.js';

/** What was sent for each epoch, and what was meant, without the banner. */
function sentByEpoch(journal: readonly JournalLine[]): { sent: string[]; meant: string[] } {
  const sent: string[] = [];
  const meant: string[] = [];
  for (const line of linesOf(journal, 'sentence')) {
    if (kindOf(line) === 'TXT') continue;
    sent[line.epoch] = (sent[line.epoch] ?? '') + sentText(line);
    meant[line.epoch] = `${meant[line.epoch] ?? ''}${line.text}\r\n`;
  }
  return { sent, meant };
}

describe('repeated-epoch', () => {
  it('sends what it has sent the epoch before, in a share of the epochs', async () => {
    const { played } = await strike('repeated-epoch', { share: 0.3 }, { duration: '400 s' });
    const { sent, meant } = sentByEpoch(played.journal);
    let repeated = 0;
    for (let epoch = 0; epoch < 400; epoch++) {
      if (sent[epoch] === meant[epoch]) continue;
      expect(sent[epoch]).toBe(sent[epoch - 1]);
      repeated++;
    }
    expectShare(repeated, 399, 0.3);
    expect(played.bytes.equals(accountedBytes(played.journal))).toBe(true);
  });

  it('repeats whole epochs where the kinds of two epochs differ', async () => {
    const module = { baud: 38_400, sentences: { RMC: 1, GGA: 2, GSV: 3, GLL: 4 } };
    const { played } = await strike('repeated-epoch', { share: 0.5 }, { module, duration: '100 s' });
    const { sent, meant } = sentByEpoch(played.journal);
    const wasRepeated = sent.map((text, epoch) => text !== meant[epoch]);
    expect(wasRepeated.filter(Boolean).length).toBeGreaterThan(30);
    for (const [epoch, text] of sent.entries()) if (wasRepeated[epoch]) expect(text).toBe(sent[epoch - 1]);
  });

  it('with a share of 1 sends the same for ever, the banner and what comes after its end apart', async () => {
    const timeline = [{ at: '10 s', for: '20 s', fault: 'repeated-epoch', with: { share: 1 } }];
    const { struck, plain } = await withAndWithout(timeline);
    const { sent, meant } = sentByEpoch(struck.journal);
    expect(meant.length).toBe(60);
    for (let epoch = 0; epoch < 60; epoch++) {
      expect(sent[epoch]).toBe(epoch >= 10 && epoch < 30 ? meant[10] : meant[epoch]);
    }
    const text = (journal: readonly JournalLine[]) => linesOf(journal, 'sentence').filter(({ epoch }) => epoch >= 30);
    expect(text(struck.journal).map(sentText)).toEqual(text(plain.journal).map(sentText));
  });

  it('leaves text that the module sends of its own accord', async () => {
    const timeline = [
      { at: '0 s', fault: 'repeated-epoch', with: { share: 1 } },
      { at: '20 s', fault: 'restart', with: { start: 'hot' } },
    ];
    const { struck } = await withAndWithout(timeline);
    const texts = linesOf(struck.journal, 'sentence').filter((line) => kindOf(line) === 'TXT');
    expect(texts.length).toBe(2);
    for (const line of texts) expect(sentText(line)).toBe(`${line.text}\r\n`);
  });

  it('leaves what is meant', async () => {
    const { struck, plain } = await withAndWithout([{ at: '10 s', fault: 'repeated-epoch' }]);
    const meantAndDropped = [...linesOf(struck.journal, 'sentence'), ...linesOf(struck.journal, 'dropped')].length;
    expect(meantAndDropped).toBe(linesOf(plain.journal, 'sentence').length);
    if (linesOf(struck.journal, 'dropped').length === 0) expectSameSentences(struck, plain);
  });
});
