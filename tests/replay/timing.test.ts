import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { RecordedGroups } from '../../src/replay/recorded-groups.js';
import { recordingOfBytes } from '../../src/replay/recording-file.js';
import { surveyRecording } from '../../src/replay/survey.js';
import { dataText, hasData } from '../authorities/open-data.js';
import { AIRBORNE, COLD_TO_FIX, epochText, latin1, type ReplayOptions, recordsOf, replay, sentence } from './helper.js';

/** A bit time is not a whole number of microseconds, which the journal is rounded to. */
const MICROSECOND_MS = 0.001;

const clock = (second: number) => {
  const two = (value: number) => String(Math.floor(value) % 60).padStart(2, '0');
  return `${String(Math.floor(second / 3600) % 24).padStart(2, '0')}${two(second / 60)}${two(second)}.00`;
};

/** Times of the epochs of a replay, ms. */
async function times(text: string, options: ReplayOptions = {}): Promise<number[]> {
  const { journal } = await replay(latin1(text), options);
  return recordsOf(journal, 'epoch').map(({ atMs }) => atMs as number);
}

/** Epochs at seconds of the day. */
const at = (...seconds: readonly number[]) => seconds.map((second) => epochText(clock(second))).join('');
const BLANK = sentence('GPRMC,,V,,,,,,,,,,N') + sentence('GPGGA,,,,,,0,,,,,,,,');

describe('a recording by its stamps', () => {
  it('has a minute’s silence where a minute is missing', async () => {
    expect(await times(at(100, 101, 102, 162, 163))).toEqual([0, 1000, 2000, 62_000, 63_000]);
  });

  it('shortens a silence where that is wished', async () => {
    expect(await times(at(100, 101, 102, 162, 163), { longestGapS: 5 })).toEqual([0, 1000, 2000, 7000, 8000]);
  });

  it('goes on over midnight', async () => {
    expect(await times(at(86_398, 86_399, 0, 1))).toEqual([0, 1000, 2000, 3000]);
  });

  it('has a second for a leap second', async () => {
    const leap = epochText('235959.00') + epochText('235960.00') + epochText('000000.00', '190222');
    expect(await times(leap)).toEqual([0, 1000, 2000]);
  });

  it('takes a step back, and one of hours forward, for a clock that was set', async () => {
    expect(await times(at(100, 101, 50, 51, 52))).toEqual([0, 1000, 2000, 3000, 4000]);
    expect(await times(at(100, 101, 20_000, 20_001))).toEqual([0, 1000, 2000, 3000]);
  });

  it('is not led astray by a single stamp that does not fit', async () => {
    expect(await times(at(100, 101, 40_000, 103, 104))).toEqual([0, 1000, 2000, 3000, 4000]);
    // Two receivers on one line, one a second behind.
    expect(await times(at(100, 99, 101, 100, 102, 101, 103))).toEqual([0, 500, 1000, 1500, 2000, 2500, 3000]);
  });

  it('spreads epochs of one stamp evenly: five a second, whose times have no decimals', async () => {
    const text = [100, 101, 102]
      .flatMap((second) => Array.from({ length: 5 }, () => epochText(clock(second))))
      .join('');
    expect(await times(text)).toEqual(Array.from({ length: 15 }, (_, index) => index * 200));
  });

  it('takes the usual interval before the first stamp and after the last, and spreads what is between', async () => {
    const fives = (from: number) => at(from, from + 5, from + 10);
    expect(await times(BLANK + BLANK + fives(100) + BLANK + BLANK)).toEqual(
      [0, 5, 10, 15, 20, 25, 30].map((s) => s * 1000),
    );
    expect(await times(at(100, 101, 102) + BLANK + BLANK + at(105))).toEqual([0, 1, 2, 3, 4, 5].map((s) => s * 1000));
    // A minute without anything, and two epochs before it.
    expect(await times(at(100, 101, 102) + BLANK + BLANK + at(162))).toEqual([0, 1, 2, 3, 4, 62].map((s) => s * 1000));
  });

  it('begins each epoch at its time, and goes on at the line’s speed', async () => {
    const { journal } = await replay(latin1(at(100, 101)), { baud: 9600 });
    const [first, second, third] = recordsOf(journal, 'sentence') as unknown as {
      startMs: number;
      endMs: number;
      text: string;
    }[];
    expect(first?.startMs).toBe(0);
    const byteMs = 10_000 / 9600;
    expect(Math.abs((first?.endMs ?? 0) - ((first?.text.length ?? 0) + 2) * byteMs)).toBeLessThan(MICROSECOND_MS);
    expect(second?.startMs).toBe(first?.endMs);
    expect(third?.startMs).toBe(1000);
  });

  it('has the damaged sentences, and what is no sentence, in their places', async () => {
    const text = `boot\r\n${at(100)}\x00\xff${at(101).replace(/\*(..)\r\n$/, '*00\n')}${at(102)}`;
    const { bytes, journal } = await replay(latin1(text));
    expect(bytes.toString('latin1')).toBe(text);
    const noise = recordsOf(journal, 'bytes');
    expect(noise.map(({ cause }) => cause)).toEqual(['recording', 'recording']);
    expect(noise.map(({ base64 }) => base64)).toEqual(
      ['boot\r\n', '\x00\xff'].map((each) => latin1(each).toString('base64')),
    );
    const odd = recordsOf(journal, 'sentence').filter(({ sentBase64 }) => sentBase64 !== undefined);
    expect(odd.map(({ text: meant }) => (meant as string).slice(-3))).toEqual(['*00']);
    expect(recordsOf(journal, 'epoch')).toHaveLength(3);
  });

  it('loses whole sentences, on record, where the line is too slow', async () => {
    const text = at(...Array.from({ length: 60 }, (_, index) => 100 + index)).repeat(1);
    const many = text.replaceAll('$GNGGA', `${sentence('GPTXT,01,01,02,'.padEnd(60, 'x')).repeat(8)}$GNGGA`);
    const { journal, bytes } = await replay(latin1(many), { baud: 4800 });
    const dropped = recordsOf(journal, 'dropped');
    expect(dropped.length).toBeGreaterThan(10);
    expect(new Set(dropped.map(({ reason }) => reason))).toEqual(new Set(['transmit-buffer']));
    const lost = dropped.reduce((sum, { bytes: count }) => sum + (count as number), 0);
    expect(bytes.length + lost).toBe(many.length);
    for (const line of bytes.toString('latin1').split('\r\n').slice(0, -1)) expect(many).toContain(`${line}\r\n`);
  });

  for (const [file, epochs] of [
    [COLD_TO_FIX, 36],
    [AIRBORNE, 990],
  ] as const) {
    it.skipIf(!hasData(file))(
      `${file}: each RMC goes out with its own time apart from the first (needs the file)`,
      async () => {
        const { journal } = await replay(latin1(dataText(file)));
        const epochMs = recordsOf(journal, 'epoch').map(({ atMs }) => atMs as number);
        const told = recordsOf(journal, 'sentence').flatMap(({ text, epoch }) => {
          const [, time] = /^\$G.RMC,(\d{6}(?:\.\d+)?),/.exec(text as string) ?? [];
          if (time === undefined) return [];
          const ofDayS = Number(time.slice(0, 2)) * 3600 + Number(time.slice(2, 4)) * 60 + Number(time.slice(4));
          return [{ ofDayMs: ofDayS * 1000, atMs: epochMs[epoch as number] as number }];
        });
        expect(told.length).toBeGreaterThanOrEqual(epochs);
        const offsets = new Set(told.map(({ ofDayMs, atMs }) => Math.round((ofDayMs - atMs) * 1000)));
        expect(offsets.size).toBe(1);
      },
    );
  }
});

describe('a recording back to back', () => {
  it('leaves the line no pause, and takes ten bit times a byte', async () => {
    const text = `${at(100, 200)}noise${at(300)}`;
    const { journal } = await replay(latin1(text), { timing: 'line', baud: 9600 });
    const sent = journal.filter(({ type }) => type === 'sentence' || type === 'bytes');
    for (const [index, { startMs }] of sent.entries()) {
      const beforeMs = index === 0 ? 0 : (sent[index - 1]?.endMs as number);
      expect(Math.abs((startMs as number) - beforeMs)).toBeLessThanOrEqual(MICROSECOND_MS);
    }
    expect(Math.abs((sent.at(-1)?.endMs as number) - (text.length * 10_000) / 9600)).toBeLessThan(MICROSECOND_MS);
  });

  it('gives a time without a date the day that goes on from the last, also over midnight', async () => {
    const height = (second: number) =>
      sentence(`GNGGA,${clock(second)},5223.0000,N,00943.0000,E,1,09,0.9,84.0,M,46.0,M,,`);
    const text = epochText('235958.00', '280222') + [86_399, 0, 1].map(height).join('');
    const { journal } = await replay(latin1(text), { timing: 'line', baud: 9600 });
    expect(recordsOf(journal, 'epoch').map(({ report }) => (report as { utc: string }).utc)).toEqual(
      ['02-28T23:59:58', '02-28T23:59:59', '03-01T00:00:00', '03-01T00:00:01'].map((utc) =>
        expect.stringContaining(`2022-${utc}`),
      ),
    );
  });
});

describe('the epochs of a recording', () => {
  const words = [
    ...[100, 101, 101, 102].map((second) => epochText(clock(second))),
    ...['GPGSV,1,1,01,05,19,222,36', 'GNGSA,A,3,05,,,,,,,,,,,,1,1,1', 'GNVTG,,T,,M,0,N,0,K,A'].map((body) =>
      sentence(body),
    ),
    BLANK,
    'noise',
    '$GPRMC,cut',
  ];

  it('do not depend on how the file is read', () => {
    fc.assert(
      fc.property(
        fc.array(fc.constantFrom(...words), { maxLength: 30 }),
        fc.integer({ min: 1, max: 90 }),
        (parts, size) => {
          const file = recordingOfBytes(latin1(parts.join('')));
          const all = (groups: RecordedGroups) => {
            const found: string[] = [];
            for (let group = groups.next(); group !== null; group = groups.next()) {
              found.push(group.pieces.map(({ text, ending }) => text + ending).join(''));
            }
            return found;
          };
          const whole = all(new RecordedGroups(file));
          expect(all(new RecordedGroups(file, size))).toEqual(whole);
          expect(whole.join('')).toBe(parts.join(''));
        },
      ),
    );
  });

  it('are in the survey, with what is wrong with the recording', () => {
    const text = `${at(100, 101)}\x01\x02${at(102).replace('A*', 'B*').replaceAll('\r\n', '\n')}`;
    expect(surveyRecording(recordingOfBytes(latin1(text)), Infinity)).toMatchObject({
      isWhole: true,
      bytes: text.length,
      groups: 3,
      sentences: 6,
      damaged: 1,
      noiseBytes: 2,
      intervalMs: 1000,
      lengthMs: 3000,
      hasBareLineFeeds: false,
    });
    expect(surveyRecording(recordingOfBytes(latin1(at(1, 2).replaceAll('\r', ''))), Infinity).hasBareLineFeeds).toBe(
      true,
    );
  });
});
