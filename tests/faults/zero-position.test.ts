import { describe, expect, it } from 'vitest';
import { linesOf } from '../run/helper.js';
import { expectSameSentences, fieldsOf, named, withAndWithout } from './helper.js';

const ZERO = ['0000.0000', 'N', '00000.0000', 'E'];
const zero = (settings: object = {}) => [{ at: '20 s', for: '20 s', fault: 'zero-position', with: settings }];

describe('zero-position', () => {
  it('reports 0, 0 as a valid position in every sentence', async () => {
    const { struck, plain } = await withAndWithout(zero());
    for (const epoch of [20, 39]) {
      const fields = (name: string) =>
        fieldsOf(named(struck.journal, name).find((line) => line.epoch === epoch)?.text as string);
      expect(fields('GGA').slice(2, 7)).toEqual([...ZERO, '1']);
      expect(fields('RMC').slice(2, 7)).toEqual(['A', ...ZERO]);
      expect(fields('GLL').slice(1, 5)).toEqual(ZERO);
      // EGM96 has 17.2 m there (NGA, worked example of the geoid at 0 N 0 E: 17.16 m); the height is that of the sea.
      expect(fields('GGA').slice(9, 13)).toEqual(['0.0', 'M', '17.2', 'M']);
    }
    expectSameSentences(struck, plain, 40);
  });

  it('or as a void one, which has no fix and yet 0, 0', async () => {
    const { struck, plain } = await withAndWithout(zero({ status: 'V' }));
    const [gga] = named(struck.journal, 'GGA').filter(({ epoch }) => epoch === 25);
    expect(fieldsOf(gga?.text as string).slice(2, 8)).toEqual([...ZERO, '0', '00']);
    const [rmc] = named(struck.journal, 'RMC').filter(({ epoch }) => epoch === 25);
    expect(fieldsOf(rmc?.text as string).slice(2, 9)).toEqual(['V', ...ZERO, '', '']);
    const [gsa] = named(struck.journal, 'GSA').filter(({ epoch }) => epoch === 25);
    expect(fieldsOf(gsa?.text as string).slice(1, 6)).toEqual(['A', '1', '', '', '']);
    const { report } = linesOf(struck.journal, 'epoch')[25] as ReturnType<typeof linesOf<'epoch'>>[0];
    expect(report).toMatchObject({ fix: 'none', quality: 0, mode: 'N', status: 'V', used: 0, hdop: null });
    expect(report.inView).toBe(linesOf(plain.journal, 'epoch')[25]?.report.inView);
  });

  it('claims a fix where there is none yet', async () => {
    const timeline = [{ at: '0 s', fault: 'zero-position' }];
    const { struck } = await withAndWithout(timeline, { receiver: { start: 'cold' }, duration: '10 s' });
    const gga = named(struck.journal, 'GGA')[5];
    expect(fieldsOf(gga?.text as string).slice(1, 8)).toEqual(['', ...ZERO, '1', '00']);
    expect(fieldsOf(named(struck.journal, 'RMC')[5]?.text as string)[2]).toBe('A');
  });
});
