import { describe, expect, it } from 'vitest';
import { GroupCheck } from '../../src/grammar/group-check.js';
import { heardIn, line } from './helper.js';

const ENTRIES = entries(1);
/** Four satellites, others in each sentence of a group. */
function entries(number: number): string {
  return ['40,083,46', '17,308,41', '07,344,39', '14,228,45']
    .map((rest, place) => `${String(4 * number + place).padStart(2, '0')},${rest}`)
    .join(',');
}
const rmc = (second: number) => line(`GPRMC,12000${second},A,4700,N,00800,E,0.0,,010326,,,A`);
/** A GSV of some, the last with one satellite. */
const gsv = (number: number, total = 3, inView = 4 * total - 3, talker = 'GP') =>
  line(
    `${talker}GSV,${total},${number},${String(inView).padStart(2, '0')},${number < total ? entries(number) : '31,22,111,'}`,
  );

const GO = 'group-order';

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
    ['out of order in each epoch', rmc(1) + gsv(2, 2) + gsv(1, 2) + rmc(2) + gsv(2, 2) + gsv(1, 2), [GO, GO]],
    [
      'of another signal in the same epoch, its first missing',
      rmc(1) + gsv(2, 2) + line(`GPGSV,2,1,05,${ENTRIES},8`) + line('GPGSV,2,2,05,31,22,111,,8'),
      ['group-gap'],
    ],
    [
      'that another epoch’s would complete',
      rmc(1) + gsv(1) + gsv(2) + rmc(2) + gsv(3) + rmc(3) + gsv(1) + gsv(2) + gsv(3),
      ['group-gap', 'group-gap'],
    ],
    ['of which each epoch has one sentence', rmc(1) + gsv(1) + rmc(2) + gsv(2) + rmc(3) + gsv(3) + rmc(4) + gsv(1), []],
    ['that lists a satellite twice', line(`GPGSV,1,1,04,${entries(1).replace('05', '04')}`), ['satellite-twice']],
    ['of which a later one repeats a satellite', gsv(1, 2) + line(`GPGSV,2,2,05,06,22,111,`), ['satellite-twice']],
    ['of texts', line('GPTXT,02,01,02,A') + line('GPTXT,02,02,02,B') + line('GPTXT,01,01,02,C'), []],
    ['of texts with one missing', line('GPTXT,02,01,02,A') + line('GPTXT,02,01,02,A'), ['group-gap']],
  ])('%s', (_what, stream, codes) => {
    expect(codesOf(stream)).toEqual(codes);
  });

  it('with a part that came damaged is not told of: the damage is', () => {
    expect(codesOf(gsv(1) + gsv(2).replace('83', '84') + gsv(3) + gsv(1) + gsv(2) + gsv(3))).toEqual([]);
    expect(codesOf(gsv(1) + gsv(2).slice(0, 20) + gsv(3) + gsv(1) + gsv(2) + gsv(3))).toEqual([]);
    const damaged = (number: number) => gsv(number, 2).replace('083', '084').replace('111', '112');
    const epochs = rmc(1) + gsv(1, 2) + damaged(2) + rmc(2) + damaged(1) + gsv(2, 2) + rmc(3) + gsv(1, 2) + gsv(2, 2);
    expect(codesOf(epochs)).toEqual([]);
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
