import { describe, expect, it } from 'vitest';
import { linesOf, meantSentences } from '../run/helper.js';
import { expectSameSentences, fieldsOf, named, withAndWithout } from './helper.js';

const few = (settings: object = {}) => [{ at: '20 s', for: '20 s', fault: 'few-in-view', with: settings }];

describe('few-in-view', () => {
  it('lists three satellites while more are used, and changes GSV alone', async () => {
    const { struck, plain } = await withAndWithout(few());
    const during = named(struck.journal, 'GSV').filter(({ epoch }) => epoch >= 20 && epoch < 40);
    expect(during).toHaveLength(20);
    for (const { text } of during) {
      const [, total, number, inView, ...listed] = fieldsOf(text);
      expect([total, number, inView]).toEqual(['1', '1', '03']);
      expect(listed.slice(0, 12).filter((_, i) => i % 4 === 0)).toHaveLength(3);
    }
    for (const { report } of linesOf(struck.journal, 'epoch').slice(20, 40)) {
      expect(report.inView).toBe(3);
      expect(report.used).toBeGreaterThan(3);
    }
    const others = (played: typeof struck) => meantSentences(played.journal).filter((text) => !/^\$..GSV/.test(text));
    expect(others(struck)).toEqual(others(plain));
    expectSameSentences(struck, plain, 40);
  });

  it('lists none, or all there are where that is less', async () => {
    const none = await withAndWithout(few({ keep: 0 }));
    const [gsv] = named(none.struck.journal, 'GSV').filter(({ epoch }) => epoch === 25);
    expect(fieldsOf(gsv?.text as string).slice(1, 4)).toEqual(['1', '1', '00']);
    const all = await withAndWithout(few({ keep: 99 }));
    expect(all.struck.bytes.equals(all.plain.bytes)).toBe(true);
  });
});
