import { describe, expect, it } from 'vitest';
import { frame } from '../../src/emit/sentences/checksum.js';
import { LodestubError, openModule } from '../../src/index.js';
import { countedFrame } from '../dialect/helper.js';
import { answersOf, namesAt, type Script, say, speedsOf, talk, timesOf } from './commands-helper.js';
import { accountedBytes, linesOf, meantSentences, roof } from './helper.js';

/** What comes from a host takes effect at whole multiples of this, ms. */
const TICK_MS = 20;
/** From a command to its answer, as the default dialect says, ms. */
const DELAY_MS = 20;
/** Journal times are written to the microsecond. */
const JOURNAL_MS = 2e-3;

/** A module that is quick and says little, so that answers find the line free. */
const MODULE = {
  baud: 9600,
  latency: '100 ms',
  jitter: 0,
  boot: '40 ms',
  sentences: { RMC: 1, GGA: 1 },
};
const play = (script: Script, untilMs: number, more: object = {}, module: object = {}) =>
  talk(script, untilMs, { scenario: roof({ ...more, module: { ...MODULE, ...module } }) });

/** Lengths of the gaps between times, each once, ascending. */
function gaps(timesMs: readonly number[]): number[] {
  return [...new Set(timesMs.slice(1).map((atMs, i) => atMs - (timesMs[i] as number)))].sort((a, b) => a - b);
}

const epochsOf = (journal: Parameters<typeof timesOf>[0]) => linesOf(journal, 'epoch').map(({ atMs }) => atMs);

describe('a command', () => {
  it('is answered by its name and code after the delay, from the tick after it came, and is in the journal', async () => {
    const { journal, commands, bytes } = await play([[2503, say('PLDB,RATE,1')]], 4000);
    expect(commands).toEqual([
      {
        type: 'command',
        atMs: 2520,
        text: frame('PLDB,RATE,1'),
        verdict: 'done',
        name: 'RATE',
        answer: [{ text: frame('PLDB,ACK,RATE,0'), delayMs: DELAY_MS }],
        actions: [{ do: 'set-interval', epochMs: 1000 }],
      },
    ]);
    const [answer] = answersOf(journal);
    expect(answer).toMatchObject({ text: frame('PLDB,ACK,RATE,0'), startMs: 2520 + DELAY_MS });
    expect(accountedBytes(journal)).toEqual(bytes);
  });

  it('rate: 1 Hz, 5 Hz, 1 Hz; epochs fall on whole multiples of the interval', async () => {
    const { journal } = await play(
      [
        [2500, say('PLDB,RATE,5')],
        [5500, say('PLDB,RATE,1')],
      ],
      8900,
      {},
      { baud: 38400 },
    );
    const epochs = epochsOf(journal);
    expect(epochs.filter((atMs) => atMs < 2500)).toEqual([0, 1000, 2000]);
    const fast = epochs.filter((atMs) => atMs > 2500 && atMs < 5500);
    expect(fast).toEqual(Array.from({ length: 15 }, (_, i) => 2600 + 200 * i));
    expect(epochs.filter((atMs) => atMs > 5500)).toEqual([6000, 7000, 8000]);
    expect(gaps(timesOf(journal, 'RMC').filter((atMs) => atMs > 2600 && atMs < 5500))[0]).toBeCloseTo(200, 2);
  });

  it('baud: the answer goes out at the old speed, what follows at the new one, which the journal tells', async () => {
    const { journal } = await play([[2500, say('PLDB,BAUD,115200')]], 5000);
    const [answer] = answersOf(journal);
    if (answer === undefined) throw new Error('no answer');
    const speedAt = ({ startMs, endMs, text }: typeof answer) => ((text.length + 2) * 10_000) / (endMs - startMs);
    // Times of a microsecond in a sentence of some 6 ms at the least.
    const WITHIN = 115_200 * (JOURNAL_MS / 5);
    expect(Math.abs(speedAt(answer) - 9600)).toBeLessThan(WITHIN);
    expect(speedsOf(journal)).toEqual([{ atMs: expect.closeTo(answer.endMs, 2), baud: 115_200 }]);
    const after = linesOf(journal, 'sentence').filter(({ startMs }) => startMs > answer.endMs);
    expect(after.length).toBeGreaterThan(3);
    for (const each of after) expect(Math.abs(speedAt(each) - 115_200)).toBeLessThan(WITHIN);
  });

  it('sentences: off, at every so many epochs, a new one, only some', async () => {
    const script: Script = [
      [2500, say('PLDB,EVERY,RMC,0')],
      [4500, say('PLDB,EVERY,GSA,2')],
      [8500, say('PLDB,ONLY,ZDA,GGA')],
    ];
    const { journal } = await play(script, 11_000);
    expect(namesAt(journal, 2000)).toEqual(['RMC', 'GGA']);
    expect(namesAt(journal, 3000)).toEqual(['GGA']);
    expect(namesAt(journal, 6000)).toEqual(['GGA', 'GSA']);
    expect(namesAt(journal, 7000)).toEqual(['GGA']);
    expect(namesAt(journal, 9000)).toEqual(['ZDA', 'GGA']);
  });

  it.each(['COLD', 'WARM', 'HOT'])(
    'a %s start loses the fix; settings stay; a cold one takes its time',
    async (start) => {
      const script: Script = [
        [9500, say('PLDB,EVERY,RMC,0')],
        [10_000, say(`PLDB,START,${start}`)],
      ];
      const { journal } = await play(script, 59_000);
      const fixes = linesOf(journal, 'epoch').map(({ report }) => report.fix !== 'none');
      expect(fixes[9]).toBe(true);
      expect(fixes[11]).toBe(false);
      const back = fixes.indexOf(true, 11);
      // Typical times to the first fix: hot some seconds, warm and cold half a minute for the orbits (FACTS,
      // published).
      if (start === 'HOT') expect(back).toBeLessThan(16);
      else expect(back === -1 || back > 20).toBe(true);
      expect(linesOf(journal, 'epoch')[12]?.report.timeKnown).toBe(start !== 'COLD');
      expect(namesAt(journal, 12_000)).toEqual(['GGA']);
    },
  );

  it.each(['x', '\n', say('PLDB,VERSION')])('standby: silent, until a byte comes (%j)', async (byte) => {
    const { journal } = await play(
      [
        [5000, say('PLDB,STANDBY')],
        [15_010, byte],
      ],
      30_000,
    );
    const times = timesOf(journal, 'GGA');
    const asleep = times.filter((atMs) => atMs > 6000 && atMs < 15_000);
    expect(asleep).toEqual([]);
    expect(times.find((atMs) => atMs > 15_000)).toBeLessThan(16_200);
    expect(linesOf(journal, 'epoch')[16]?.report.fix).toBe('none');
    expect(linesOf(journal, 'epoch').at(-1)?.report.fix).toBe('3d');
  });

  it('standby: the line feed of its own command does not wake the module, however late', async () => {
    const text = say('PLDB,STANDBY');
    const { journal } = await play(
      [
        [5000, text.slice(0, -1)],
        [5200, '\n'],
      ],
      9000,
    );
    expect(timesOf(journal, 'GGA').filter((atMs) => atMs > 6000)).toEqual([]);
  });

  it('reset: the banner comes, what was not saved is lost; the answer before it', async () => {
    const script: Script = [
      [2500, say('PLDB,RATE,5')],
      [4500, say('PLDB,BAUD,19200')],
      [5500, say('PLDB,RESET,HOT')],
    ];
    const { journal } = await play(script, 8900, {}, { banner: ['SIMULATED HERE'] });
    const banners = linesOf(journal, 'sentence').filter(({ text }) => text.includes('SIMULATED HERE'));
    const answer = answersOf(journal).at(-1);
    expect(answer?.text).toBe(frame('PLDB,ACK,RESET,0'));
    expect(banners).toHaveLength(2);
    expect(banners[1]?.startMs).toBeCloseTo((answer?.endMs ?? 0) + 40, 2);
    expect(speedsOf(journal).map(({ baud }) => baud)).toEqual([19_200, 9600]);
    expect(epochsOf(journal).filter((atMs) => atMs > 5600)).toEqual([6000, 7000, 8000]);
  });

  it('save outlives a restart by a fault, forget does not, factory is as it was made', async () => {
    const timeline = [{ at: '4 s', for: '1 s', fault: 'restart', with: { start: 'hot' } }];
    const changed: Script = [
      [1500, say('PLDB,ONLY,ZDA')],
      [1900, say('PLDB,SAVE')],
    ];
    const namesAfter = async (script: Script) => namesAt((await play(script, 12_000, { timeline })).journal, 9000);
    expect(await namesAfter(changed.slice(0, 1))).toEqual(['RMC', 'GGA']);
    expect(await namesAfter(changed)).toEqual(['ZDA']);
    expect(await namesAfter([...changed, [2500, say('PLDB,FORGET')]])).toEqual(['RMC', 'GGA']);
    expect(await namesAfter([...changed, [6500, say('PLDB,FACTORY')]])).toEqual(['RMC', 'GGA']);
    expect(await namesAfter([...changed, [6500, say('PLDB,RESET')]])).toEqual(['ZDA']);
  });

  it('in mid-stream: the answer waits for the sentences before it, and stands between two of them', async () => {
    const module = { sentences: { GGA: 1, GSV: 1, RMC: 1, VTG: 1 }, baud: 4800, 'long-lines': true };
    // The epoch of 3 s is on the line from 3.1 s on, for more than half a second; RMC of 4 s follows.
    const { journal, bytes } = await play([[3205, say('PLDB,VERSION')]], 5000, {}, module);
    const all = linesOf(journal, 'sentence');
    const place = all.findIndex(({ text }) => text.startsWith('$PLDB,VERSION,LODESTUB'));
    const [before, answer, next] = all.slice(place - 1, place + 2);
    expect(answer?.startMs).toBeGreaterThan(3220 + DELAY_MS);
    expect(answer?.startMs).toBeCloseTo(before?.endMs ?? 0, 2);
    expect(next?.startMs).toBeGreaterThan(3900);
    expect(bytes.toString('latin1')).toContain(`${before?.text}\r\n${answer?.text}\r\n${next?.text}\r\n`);
  });

  it('the standard’s query is answered by the last epoch’s sentence, though the module does not send it else', async () => {
    const { journal } = await play(
      [
        [8500, say('CCGPQ,GLL')],
        [8900, say('CCGPQ,GGA')],
      ],
      9000,
    );
    const [asked] = linesOf(journal, 'sentence').filter(({ text }) => text.includes('GLL,'));
    expect(asked).toMatchObject({ startMs: 8520 + DELAY_MS });
    const ggas = linesOf(journal, 'sentence').filter(({ text, epoch }) => text.includes('GGA,') && epoch === 8);
    expect(new Set(ggas.map(({ text }) => text)).size).toBe(1);
    expect(ggas).toHaveLength(2);
  });

  it('wrong checksum, unknown command, a value that is not allowed: as the dialect says, and nothing is done', async () => {
    const script: Script = [
      [2500, '$PLDB,RATE,5*00\r\n'],
      [3500, say('PLDB,TURBO,5')],
      [4500, say('PLDB,RATE,7')],
      [5500, Uint8Array.of(0xff, 0x00)],
    ];
    const { journal, commands } = await play(script, 8000);
    expect(commands.map(({ verdict }) => verdict)).toEqual(['bad-checksum', 'unknown', 'refused', 'noise']);
    expect(answersOf(journal).map(({ text }) => text)).toEqual([frame('PLDB,ACK,TURBO,2'), frame('PLDB,ACK,RATE,1')]);
    expect(commands[3]?.base64).toBe('/wA=');
    expect(gaps(epochsOf(journal))).toEqual([1000]);
  });

  it('settings are told as they are', async () => {
    const { journal } = await play(
      [
        [2500, say('PLDB,RATE,2')],
        [2700, say('PLDB,SETTINGS')],
      ],
      3000,
    );
    expect(
      answersOf(journal)
        .slice(1)
        .map(({ text }) => text),
    ).toEqual([frame('PLDB,SETTINGS,2,9600'), frame('PLDB,EVERY,RMC,1'), frame('PLDB,EVERY,GGA,1')]);
  });

  it('too many at once: the module takes on 64 answers, and says in the journal what it did not do', async () => {
    const flood = say('PLDB,VERSION').repeat(200);
    const { commands, journal } = await play(
      [
        [2500, flood],
        [9000, say('PLDB,VERSION')],
      ],
      12_000,
      {},
      { 'transmit-buffer': 8192 },
    );
    expect(commands.filter(({ busy }) => busy === true)).toHaveLength(200 - 64);
    expect(commands.at(-1)?.busy).toBeUndefined();
    expect(answersOf(journal)).toHaveLength(65);
  });
});

describe('a binary dialect', () => {
  it('answers by frames, and changes its speed once the answer has gone out', async () => {
    const { journal } = await play([[2500, countedFrame('07 22 0001C200')]], 5000, {}, { dialect: 'counted-frames' });
    const [answer] = linesOf(journal, 'bytes');
    const frameBytes = countedFrame('07 A0 22');
    expect(answer).toMatchObject({ cause: 'reply', startMs: 2530, base64: frameBytes.toString('base64') });
    expect(answer?.endMs).toBeCloseTo(2530 + (frameBytes.length * 10_000) / 9600, 2);
    expect(speedsOf(journal)).toEqual([{ atMs: expect.closeTo(answer?.endMs ?? 0, 2), baud: 115_200 }]);
  });
});

it('what was to follow an answer that was lost on the line happens ten seconds later', async () => {
  const timeline = [{ at: '2 s', for: '1 s', fault: 'silence' }];
  const { journal } = await play([[2500, say('PLDB,BAUD,38400')]], 15_000, { timeline });
  expect(answersOf(journal)).toEqual([]);
  expect(speedsOf(journal)).toEqual([{ atMs: 2520 + DELAY_MS + 10_000, baud: 38_400 }]);
});

describe('what was said can be repeated', () => {
  it('the commands of a journal, in a timeline at their times, give the same bytes and the same journal', async () => {
    const script: Script = [
      [1987, say('PLDB,RATE,5')],
      [2500, say('PLDB,EVERY,GSV,3') + say('CCGPQ,ZDA')],
      [3333, 'x$PLDB,RATE'],
      [3456, say('PLDB,BAUD,38400')],
      [5001, Uint8Array.of(0xb5, 0x01)],
      [6000, say('PLDB,STANDBY')],
      [8120, say('PLDB,SAVE')],
      [9990, say('PLDB,RESET,WARM')],
    ];
    const spoken = await play(script, 15_000, { duration: '15 s' });
    const timeline = spoken.commands.map(({ atMs, text, base64 }) => ({
      at: `${atMs} ms`,
      command: text ?? `base64:${base64}`,
    }));
    const repeated = await play([], 15_000, { duration: '15 s', timeline });
    expect(repeated.bytes.equals(spoken.bytes)).toBe(true);
    // That bytes came is on the host's side of it, which the timeline is not.
    const ofModule = ({ lines }: typeof spoken) => lines.slice(1).filter((line) => !line.startsWith('{"type":"host"'));
    const [there, here] = [ofModule(spoken), ofModule(repeated)];
    const different = there.findIndex((line, i) => line !== here[i]);
    expect([here[different], here.length]).toEqual([there[different], there.length]);
  });

  it('bytes do not depend on the steps in which time is told', async () => {
    const run = async (stepMs: number) => {
      const module = await openModule({ scenario: roof({ duration: '8 s', module: MODULE }) });
      const parts: Buffer[] = [];
      while (!module.isOver) {
        module.advance(Math.min(stepMs, TICK_MS - (module.nowMs % TICK_MS)));
        if (module.nowMs === 2500) module.send(say('PLDB,RATE,10') + say('PLDB,BAUD,57600'));
        if (module.nowMs === 5000) module.send(say('PLDB,RESET,COLD'));
        parts.push(module.read());
      }
      await module.close();
      return Buffer.concat(parts).toString('latin1');
    };
    expect(await run(20)).toBe(await run(2.5));
  });
});

describe('an echo', () => {
  it('of what the host writes comes back, and is accounted for', async () => {
    const dialect = 'tests/run/echo.yaml';
    const { journal, bytes } = await play([[2500, say('PTST,HELLO')]], 4000, {}, { dialect });
    const [echo] = linesOf(journal, 'bytes');
    expect(echo).toMatchObject({ startMs: 2520, cause: 'echo' });
    expect(Buffer.from(echo?.base64 ?? '', 'base64').toString()).toBe(say('PTST,HELLO'));
    expect(bytes.toString('latin1')).toContain(`${say('PTST,HELLO')}hello there\r\n`);
    expect(accountedBytes(journal)).toEqual(bytes);
  });
});

describe('speed search', () => {
  const module = { 'speed-search': { speeds: [4800, 9600, 38400], dwell: '1 s' }, sentences: { ZDA: 1 } };

  it('goes through the speeds until a command is understood, and stays there', async () => {
    const { journal } = await play(
      [
        [1500, 'noise'],
        [5250, say('PLDB,NO')],
        [5500, say('PLDB,VERSION')],
      ],
      12_000,
      {},
      module,
    );
    expect(speedsOf(journal)).toEqual([
      { atMs: 0, baud: 4800 },
      { atMs: 1000, baud: 9600 },
      { atMs: 2000, baud: 38400 },
      { atMs: 3000, baud: 4800 },
      { atMs: 4000, baud: 9600 },
      { atMs: 5000, baud: 38400 },
    ]);
  });

  it('begins anew at each boot', async () => {
    const script: Script = [
      [1500, say('PLDB,VERSION')],
      [5500, say('PLDB,RESET')],
    ];
    const { journal } = await play(script, 8000, {}, module);
    const resetMs = answersOf(journal).at(-1)?.endMs ?? 0;
    expect(speedsOf(journal).slice(2)).toEqual([
      { atMs: expect.closeTo(resetMs, 2), baud: 4800 },
      { atMs: expect.closeTo(resetMs + 1000, 2), baud: 9600 },
      { atMs: expect.closeTo(resetMs + 2000, 2), baud: 38400 },
    ]);
  });
});

it('a module whose dialect is none hears only noise', async () => {
  const { commands, journal } = await play([[2500, say('CCGPQ,GGA')]], 4000, {}, { dialect: 'none' });
  expect(commands).toMatchObject([{ verdict: 'noise', answer: [], actions: [] }]);
  expect(Buffer.from(commands[0]?.base64 ?? '', 'base64').toString()).toBe(say('CCGPQ,GGA'));
  expect(meantSentences(journal).filter((text) => text.startsWith('$P'))).toEqual([]);
});

it('bytes of the host can be sent on the port in memory alone', async () => {
  const module = await openModule({ scenario: roof(), port: 'mock:/dev/lodestub-commands' });
  expect(() => module.send('x')).toThrow(LodestubError);
  expect(() => module.send('x')).toThrow('library.port: send: expected the port memory');
  await module.close();
});
