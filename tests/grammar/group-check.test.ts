import { describe, expect, it } from 'vitest';
import { GroupCheck } from '../../src/grammar/group-check.js';
import { heardIn, line } from './helper.js';

const ENTRIES = ['04,40,083,46', '05,17,308,41', '09,07,344,39', '12,14,228,45'].join(',');
/** A GSV of some, the last with one satellite. */
const gsv = (number: number, total = 3, inView = 4 * total - 3, talker = 'GP') =>
  line(`${talker}GSV,${total},${number},${String(inView).padStart(2, '0')},${number < total ? ENTRIES : '31,22,111,'}`);

function codesOf(stream: string): string[] {
  const check = new GroupCheck();
  return [...heardIn(stream).flatMap((heard) => check.put(heard)), ...check.end()].map(({ code }) => code);
}

describe('a group', () => {
  it.each<[what: string, stream: string, codes: string[]]>([
    ['complete and in order', gsv(1) + gsv(2) + gsv(3) + gsv(1) + gsv(2) + gsv(3), []],
    ['of two talkers in turn', gsv(1) + gsv(1, 2, 5, 'GL') + gsv(2) + gsv(2, 2, 5, 'GL') + gsv(3), []],
    ['with a part missing', gsv(1) + gsv(3) + gsv(1) + gsv(2) + gsv(3), ['group-gap']],
    ['with its end missing', gsv(1) + gsv(2) + gsv(1) + gsv(2) + gsv(3), ['group-gap']],
    ['with its first missing', gsv(1, 1) + gsv(2) + gsv(3) + gsv(1) + gsv(2) + gsv(3), ['group-gap']],
    ['out of order', gsv(1) + gsv(3) + gsv(2) + gsv(1) + gsv(2) + gsv(3), ['group-order']],
    ['amid which the stream begins', gsv(2) + gsv(3) + gsv(1) + gsv(2) + gsv(3), []],
    ['amid which the stream ends', gsv(1) + gsv(2), []],
    ['that changes its length', gsv(1) + gsv(2, 4, 13) + gsv(1) + gsv(2) + gsv(3), ['group-change']],
    ['that changes its count', gsv(1) + gsv(2, 3, 10) + gsv(3), ['group-change']],
    ['of more satellites than it counts', gsv(1, 3, 8) + gsv(2, 3, 8) + gsv(3, 3, 8), ['gsv-count']],
    ['of fewer satellites than it counts', gsv(1, 3, 12) + gsv(2, 3, 12) + gsv(3, 3, 12), ['gsv-fewer']],
    ['of texts', line('GPTXT,02,01,02,A') + line('GPTXT,02,02,02,B') + line('GPTXT,01,01,02,C'), []],
    ['of texts with one missing', line('GPTXT,02,01,02,A') + line('GPTXT,02,01,02,A'), ['group-gap']],
  ])('%s', (_what, stream, codes) => {
    expect(codesOf(stream)).toEqual(codes);
  });

  it('with a part that came damaged is not told of: the damage is', () => {
    expect(codesOf(gsv(1) + gsv(2).replace('83', '84') + gsv(3) + gsv(1) + gsv(2) + gsv(3))).toEqual([]);
    expect(codesOf(gsv(1) + gsv(2).slice(0, 20) + gsv(3) + gsv(1) + gsv(2) + gsv(3))).toEqual([]);
    const check = new GroupCheck();
    const codes = heardIn(gsv(1) + gsv(3) + gsv(1)).flatMap((heard) => {
      const found = check.put(heard);
      check.disturb();
      return found;
    });
    expect(codes).toEqual([]);
  });

  it('that goes on from one signal to the next lists satellites twice', () => {
    const running = (number: number, signal: number) => line(`GPGSV,2,${number},04,${ENTRIES},${signal}`);
    expect(codesOf(running(1, 1) + running(2, 8))).toEqual([]);
  });

  it('is told of where it is seen, with what is missing', () => {
    const check = new GroupCheck();
    const found = heardIn(gsv(1, 4, 13) + gsv(4, 4, 13) + gsv(1, 1)).flatMap((heard) => check.put(heard));
    expect(found).toEqual([
      {
        code: 'group-gap',
        line: 3,
        offset: gsv(1, 4, 13).length + gsv(4, 4, 13).length,
        field: null,
        what: 'GPGSV 2, 3 of 4 missing before it',
      },
    ]);
  });
});
