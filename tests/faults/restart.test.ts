import { describe, expect, it } from 'vitest';
import { stringify } from 'yaml';
import type { Action, Dialect } from '../../src/dialect/command.js';
import { ModuleRun } from '../../src/run/module-run.js';
import { ModuleState } from '../../src/run/module-state.js';
import { readScenario } from '../../src/scenario/read.js';
import {
  accountedBytes,
  type EpochLine,
  type JournalLine,
  linesOf,
  type Played,
  playRun,
  roof,
  sentBytes,
} from '../run/helper.js';
import { expectSameSentences, faultEvents, fieldsOf, JOURNAL_MS, named, withAndWithout } from './helper.js';

const BOOT_MS = 300;
const LONG = { duration: '240 s', module: { boot: '300 ms' } };
const BYTE_MS = 10_000 / 9600;

/** Power goes at 60.5 s, while sentences are on the line. */
const restart = (start: string, off = '2 s') => [{ at: '60.5 s', fault: 'restart', with: { start, off } }];
const OFF_MS = 60_500;
const ON_MS = 62_500;

/** Epochs from power-up to the first fix. */
function firstFixS({ journal }: Played): number {
  const epoch = linesOf(journal, 'epoch').find(
    ({ atMs, report }) => atMs >= ON_MS && report.fix !== 'none',
  ) as EpochLine;
  return (epoch.atMs - ON_MS) / 1000;
}

describe('restart', () => {
  it('is silent without power, and begins anew with the banner at the end of the boot', async () => {
    const { struck, plain } = await withAndWithout(restart('hot'), LONG);
    const after = linesOf(struck.journal, 'sentence').filter(({ startMs }) => startMs >= OFF_MS);
    expect(after[0]?.text).toBe(linesOf(plain.journal, 'sentence')[0]?.text);
    expect(after[0]?.text.slice(0, 6)).toBe('$GPTXT');
    expect(Math.abs((after[0]?.startMs as number) - (ON_MS + BOOT_MS))).toBeLessThanOrEqual(JOURNAL_MS);
    expect(faultEvents(struck.journal)).toEqual([
      { id: '1.1', kind: 'restart', phase: 'begin', atMs: 60_500, with: { start: 'hot', off: 2, cut: 'at-once' } },
      { id: '1.1', kind: 'restart', phase: 'end', atMs: 62_500, with: { start: 'hot', off: 2, cut: 'at-once' } },
    ]);
    // Up to the cut the streams are the same.
    const before = linesOf(plain.journal, 'sentence').filter(({ endMs }) => endMs <= OFF_MS);
    const same = Buffer.concat(before.map(sentBytes));
    expect(struck.bytes.subarray(0, same.length).equals(same)).toBe(true);
  });

  it('cuts off the sentence that is on the line, and loses what waited', async () => {
    // Nine sentences of an epoch take nearly the whole second at 4800 baud: something is on the line at each tick.
    const slow = { ...LONG, module: { baud: 4800, latency: '400 ms', jitter: '0 ms' } };
    const { struck, plain } = await withAndWithout(restart('hot'), slow);
    const atCut = linesOf(plain.journal, 'sentence').find(({ startMs, endMs }) => startMs < OFF_MS && endMs > OFF_MS);
    expect(atCut).toBeDefined();
    const cut = linesOf(struck.journal, 'sentence').find(({ faults }) => faults.includes('1.1'));
    expect(cut?.text).toBe(atCut?.text);
    expect(cut?.endMs).toBe(OFF_MS);
    const wholeBytes = Math.floor((OFF_MS - (cut?.startMs as number)) / (2 * BYTE_MS));
    expect(sentBytes(cut as NonNullable<typeof cut>).toString('latin1')).toBe(cut?.text.slice(0, wholeBytes));
    const lost = linesOf(struck.journal, 'dropped').filter(({ reason }) => reason === 'power');
    expect(lost.length).toBeGreaterThan(1);
    for (const { reason, atMs, faults } of lost) expect([reason, atMs, faults]).toEqual(['power', OFF_MS, ['1.1']]);
    expect(lost[0]?.bytes).toBe((atCut?.text.length as number) + 2 - wholeBytes);
    const sentAndLost = [...linesOf(struck.journal, 'sentence'), ...lost].filter(({ epoch }) => epoch === 60);
    const meant = linesOf(plain.journal, 'sentence').filter(({ epoch }) => epoch === 60);
    expect(new Set(sentAndLost.map(({ text }) => text))).toEqual(new Set(meant.map(({ text }) => text)));
  });

  it('hot: knows time and position within seconds', async () => {
    const { struck } = await withAndWithout(restart('hot'), LONG);
    // Typical hot start of a modern module: below 1.5 s by the data sheets; the epoch rounds up.
    expect(firstFixS(struck)).toBeLessThanOrEqual(3);
    const first = named(struck.journal, 'RMC').find(({ startMs }) => startMs >= ON_MS);
    expect(fieldsOf(first?.text as string)[1]).not.toBe('');
  });

  it('warm: knows the time at once, and the position once the orbits have come in anew', async () => {
    const { struck } = await withAndWithout(restart('warm'), LONG);
    // The ephemeris takes 18 s at best, 30 s from any point of the frame and some seconds to find the signals.
    expect(firstFixS(struck)).toBeGreaterThanOrEqual(18);
    expect(firstFixS(struck)).toBeLessThanOrEqual(40);
    const first = named(struck.journal, 'RMC').find(({ startMs }) => startMs >= ON_MS);
    expect(fieldsOf(first?.text as string)[1]).not.toBe('');
    expect(fieldsOf(first?.text as string)[2]).toBe('V');
  });

  it('cold: time, then date, then position come back, each when the message has told it', async () => {
    const { struck } = await withAndWithout(restart('cold'), LONG);
    expect(firstFixS(struck)).toBeGreaterThanOrEqual(18);
    // Typical cold start of a modern module is below 35 s; a bad moment of the frame and weak signals take longer.
    expect(firstFixS(struck)).toBeLessThanOrEqual(70);
    const first = named(struck.journal, 'RMC').find(({ startMs }) => startMs >= ON_MS);
    expect(fieldsOf(first?.text as string).slice(1, 10)).toEqual(['', 'V', '', '', '', '', '', '', '']);
    const epochs = linesOf(struck.journal, 'epoch').filter(({ atMs }) => atMs >= ON_MS);
    const at = (test: (epoch: EpochLine) => boolean) => epochs.findIndex(test);
    const time = at(({ report }) => report.timeKnown);
    const date = at(({ report }) => report.dateKnown);
    const fix = at(({ report }) => report.fix !== 'none');
    expect(time).toBeGreaterThan(0);
    expect(date).toBeGreaterThanOrEqual(time);
    expect(fix).toBeGreaterThanOrEqual(date);
    for (const { report, atMs } of linesOf(struck.journal, 'epoch')) {
      if (atMs < OFF_MS || atMs >= ON_MS) continue;
      expect([report.fix, report.utc, report.inView]).toEqual(['none', null, 0]);
    }
  });

  it('leaves the noise and the times of what comes after it as they would have been', async () => {
    const { struck, plain } = await withAndWithout(restart('hot'), LONG);
    expectSameSentences(struck, plain, 80);
    const starts = (played: Played) =>
      linesOf(played.journal, 'sentence')
        .filter(({ epoch }) => epoch >= 80)
        .map(({ startMs }) => startMs);
    expect(starts(struck)).toEqual(starts(plain));
  });
});

describe('restart with for', () => {
  it('has no power for that long, whatever off says', async () => {
    const timeline = [{ at: '5 s', for: '3 s', fault: 'restart', with: { off: '1 s' } }];
    const { journal } = await playRun({ scenario: roof({ timeline, duration: '12 s' }) });
    const banners = linesOf(journal, 'sentence').filter(({ text }) => text.includes('TXT,'));
    expect(banners).toHaveLength(2);
    expect(banners[1]?.startMs).toBeGreaterThanOrEqual(8000);
    expect(banners[1]?.startMs).toBeLessThan(9000);
    const between = linesOf(journal, 'sentence').filter(({ startMs }) => startMs > 5000 && startMs < 8000);
    expect(between).toEqual([]);
  });
});

describe('restart in the middle of a sentence', () => {
  const midSentence = (id?: string) => [
    { at: '20.5 s', fault: 'restart', with: { start: 'hot', off: '2 s', cut: 'mid-sentence' }, ...(id && { id }) },
  ];

  it('cuts the next sentence between its first byte and its last, and says which bytes went out', async () => {
    const { struck, plain } = await withAndWithout(midSentence(), { module: { boot: '300 ms' } });
    const next = linesOf(plain.journal, 'sentence').find(({ startMs }) => startMs >= 20_500);
    const [cut, ...others] = linesOf(struck.journal, 'sentence').filter(({ faults }) => faults.includes('1.1'));
    expect(others).toEqual([]);
    expect([cut?.text, cut?.startMs]).toEqual([next?.text, next?.startMs]);
    const sent = sentBytes(cut as NonNullable<typeof cut>).toString('latin1');
    expect(sent.length).toBeGreaterThan(0);
    expect(`${cut?.text}\r\n`.startsWith(sent)).toBe(true);
    // So much of it was out when power failed, up to a byte.
    const outMs = (cut?.endMs as number) - (cut?.startMs as number);
    expect(outMs - sent.length * BYTE_MS).toBeGreaterThanOrEqual(-JOURNAL_MS);
    expect(outMs - sent.length * BYTE_MS).toBeLessThan(BYTE_MS + JOURNAL_MS);
    const lost = linesOf(struck.journal, 'dropped').filter(({ reason }) => reason === 'power');
    expect(lost[0]?.text).toBe(cut?.text);
    expect(lost[0]?.bytes).toBe((cut?.text.length as number) + 2 - sent.length);
    // The epoch's others that were still to come are lost whole.
    const epoch = linesOf(plain.journal, 'sentence').filter(
      (line) => line.epoch === cut?.epoch && line.startMs >= (cut?.startMs as number),
    );
    expect(lost.map(({ text }) => text)).toEqual(epoch.map(({ text }) => text));
    expect(accountedBytes(struck.journal).equals(struck.bytes)).toBe(true);
  });

  it('comes back with the banner after the time without power and the boot', async () => {
    const { struck } = await withAndWithout(midSentence(), { module: { boot: '300 ms' } });
    const lines = linesOf(struck.journal, 'sentence');
    const place = lines.findIndex(({ faults }) => faults.includes('1.1'));
    const [cut, banner] = lines.slice(place);
    expect(banner?.text).toBe(lines[0]?.text);
    expect(Math.abs((banner?.startMs as number) - (cut?.endMs as number) - 2000 - BOOT_MS)).toBeLessThan(JOURNAL_MS);
  });

  it('cuts at any place of it, by chance', async () => {
    const shares = new Set<number>();
    for (let i = 0; i < 20; i++) {
      const scenario = roof({ timeline: midSentence(`r-${i}`), duration: '22 s' });
      const { journal } = await playRun({ scenario });
      const cut = linesOf(journal, 'sentence').find(({ faults }) => faults.includes(`r-${i}.1`));
      const sent = sentBytes(cut as NonNullable<typeof cut>).length;
      expect(sent).toBeGreaterThan(0);
      expect(sent).toBeLessThan((cut?.text.length as number) + 2);
      shares.add(sent);
    }
    expect(shares.size).toBeGreaterThan(10);
  });
});

describe('what a host has set, after a restart', () => {
  const CHANGED: readonly Action[] = [
    { do: 'set-baud', baud: 38_400 },
    { do: 'set-interval', epochMs: 500 },
    { do: 'set-sentences', sentences: [{ name: 'RMC', every: 1 }] },
  ];
  /** Does all of it on any byte, and saves it on two. */
  const OBEDIENT: Dialect = {
    name: 'obedient',
    title: 'Obeys',
    echo: false,
    listen: () => ({
      take: (bytes) => {
        const actions = bytes.length > 1 ? [...CHANGED, { do: 'save' } as const] : CHANGED;
        return [{ bytes, verdict: 'done', name: 'obey', replies: [], actions, actAfter: 0 }];
      },
      dueMs: Infinity,
      reset: () => {},
    }),
  };

  /** Names of the last epochs' sentences, the epochs' interval and the line's speed at the end. */
  async function afterRestart(heard: Uint8Array) {
    const timeline = [{ at: '10.2 s', fault: 'restart', with: { start: 'hot', off: '1 s', cut: 'mid-sentence' } }];
    const read = await readScenario(stringify(roof({ timeline, duration: '20 s' })), {
      file: 'scenario',
      baseFolder: '.',
      overrides: {},
    });
    const journal: JournalLine[] = [];
    const now = { year: 2026, month: 3, day: 1, hour: 12, minute: 0, second: 0 };
    const scenario = { ...read, module: { ...read.module, dialect: OBEDIENT } };
    const run = new ModuleRun(scenario, { now, send: () => {}, journal: (line) => journal.push(JSON.parse(line)) });
    run.advanceTo(5000);
    run.hear(heard);
    const seen = (fromMs: number, toMs: number) => {
      const lines = linesOf(journal, 'sentence').filter(({ startMs }) => startMs >= fromMs && startMs < toMs);
      const epochs = linesOf(journal, 'epoch').filter(({ atMs }) => atMs >= fromMs && atMs < toMs);
      return { names: new Set(lines.map(({ text }) => text.slice(3, 6))), epochs: epochs.length, baud: run.baud };
    };
    run.advanceTo(10_100);
    const before = seen(6000, 10_000);
    run.advanceTo(Infinity);
    run.finish();
    return { before, after: seen(14_000, 18_000) };
  }

  it('is lost where it was not saved', async () => {
    const { before, after } = await afterRestart(Uint8Array.of(1));
    expect(before).toEqual({ names: new Set(['RMC']), epochs: 8, baud: 38_400 });
    expect(after.names.size).toBeGreaterThan(4);
    expect([after.epochs, after.baud]).toEqual([4, 9600]);
  });

  it('is kept where it was saved', async () => {
    const { before, after } = await afterRestart(Uint8Array.of(1, 2));
    expect(after).toEqual(before);
  });

  it('is what the module’s state says by itself', async () => {
    const { module } = await readScenario(stringify(roof()), { file: 'scenario', baseFolder: '.', overrides: {} });
    const state = new ModuleState(module);
    const factory = state.now;
    state.change({ baud: 4800, epochMs: 200 });
    state.powerUp();
    expect(state.now).toEqual(factory);
    state.change({ baud: 4800, epochMs: 200 });
    state.save();
    state.change({ baud: 2400 });
    state.powerUp();
    expect([state.now.baud, state.now.epochMs]).toEqual([4800, 200]);
    state.forget();
    state.powerUp();
    expect(state.now).toEqual(factory);
  });
});
