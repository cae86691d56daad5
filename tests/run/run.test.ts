import { describe, expect, it } from 'vitest';
import { openModule } from '../../src/index.js';
import { linesOf, meantSentences, playRun, roof } from './helper.js';

const nameOf = (text: string) => text.slice(3, 6);

describe('the sentences of an epoch', () => {
  it('come as the module says: each at its interval of epochs, in its order', async () => {
    const module = { sentences: { ZDA: 3, RMC: 1, GSA: 2, GGA: 5 } };
    const { journal } = await playRun({ scenario: roof({ module }) });
    for (let index = 1; index < 60; index++) {
      const names = linesOf(journal, 'sentence')
        .filter(({ epoch, text }) => epoch === index && nameOf(text) !== 'TXT')
        .map(({ text }) => nameOf(text));
      const due = [index % 3 === 0 && 'ZDA', 'RMC', index % 2 === 0 && 'GSA', index % 5 === 0 && 'GGA'];
      expect(names).toEqual(due.filter((name) => name !== false));
    }
  });

  it('begin the latency after the epoch, with jitter, and never before half of it', async () => {
    const module = { latency: '100 ms', jitter: '60 ms', sentences: { RMC: 1 } };
    const { journal } = await playRun({ scenario: roof({ module, duration: '600 s' }) });
    const late = linesOf(journal, 'sentence')
      .filter(({ text }) => nameOf(text) === 'RMC')
      .map(({ startMs, epoch }) => startMs - epoch * 1000)
      .slice(1);
    expect(Math.min(...late)).toBeGreaterThanOrEqual(50);
    const median = [...late].sort((a, b) => a - b)[late.length >> 1] as number;
    /** Four standard deviations of the median of 600 normal deviates of 60 ms: 4 * 1.25 * 60 / sqrt(600). */
    const MEDIAN_OF_600_MS = 12.3;
    expect(Math.abs(median - 100)).toBeLessThan(MEDIAN_OF_600_MS);
  });

  it('come after the banner, and none before the boot is over', async () => {
    const module = { boot: '2500 ms', latency: '100 ms', jitter: '0 ms', banner: ['SIMULATED ONE', 'TWO'] };
    const { journal } = await playRun({ scenario: roof({ module }) });
    const [first, second, third] = linesOf(journal, 'sentence');
    expect(first?.text).toContain('TXT,02,01,02,SIMULATED ONE*');
    expect(second?.text).toContain('TXT,02,02,02,TWO*');
    expect(first?.startMs).toBe(2500);
    // Epoch 2 is ready at 2.1 s, before the boot is over: the first epoch spoken of is the third.
    expect(third?.epoch).toBe(3);
    expect(third?.startMs).toBe(3100);
  });
});

it('the banner has the talker of what follows, where a system of the sky has no satellite in service', async () => {
  const outOfService = Array.from({ length: 24 }, (_, i) => `R${String(i + 1).padStart(2, '0')}`);
  const sky = { systems: ['gps', 'glonass'], 'out-of-service': outOfService };
  const { journal } = await playRun({ scenario: roof({ sky, duration: '3 s' }) });
  expect(new Set(meantSentences(journal).map((text) => text.slice(1, 3)))).toEqual(new Set(['GP']));
});

describe('a run', () => {
  it('begins at the scenario’s start whatever the machine’s clock says, and at the given instant with start: now', async () => {
    const now = { year: 2031, month: 7, day: 9, hour: 4, minute: 5, second: 6 };
    const fixed = await openModule({ scenario: roof(), now });
    expect(fixed.startUtc).toEqual({ year: 2026, month: 3, day: 1, hour: 12, minute: 0, second: 0 });
    await fixed.close();
    const floating = await playRun({ scenario: roof({ start: 'now' }), now });
    expect(linesOf(floating.journal, 'run')[0]?.startUtc).toBe('2031-07-09T04:05:06.000Z');
    const rmc = meantSentences(floating.journal).find((text) => nameOf(text) === 'RMC');
    expect(rmc).toContain('RMC,040506.00,');
    expect(rmc).toContain(',090731,');
  });

  it('lasts as long as its route where it says nothing else', async () => {
    const { journal } = await playRun({
      scenario: roof({ duration: undefined, route: [{ hold: '37 s', at: [1, 2, '3 m'] }] }),
    });
    expect(linesOf(journal, 'epoch')).toHaveLength(37);
    expect(linesOf(journal, 'epoch').at(-1)?.atMs).toBe(36_000);
  });

  it('of a longer duration stays where the route ends; of a shorter one ends on the way', async () => {
    const route = [
      { hold: '5 s', at: [47, 8, '3 m'] },
      { go: [[47.001, 8]], speed: '20 m/s' },
    ];
    const longer = await playRun({ scenario: roof({ route, duration: '60 s' }) });
    const epochs = linesOf(longer.journal, 'epoch');
    expect(epochs).toHaveLength(60);
    expect(epochs[40]?.truth).toEqual(epochs[59]?.truth);
    expect(Math.abs((epochs[59]?.truth.latitudeDeg as number) - 47.001)).toBeLessThan(1e-9);
    const shorter = await playRun({ scenario: roof({ route, duration: '7 s' }) });
    expect(linesOf(shorter.journal, 'epoch')).toHaveLength(7);
  });

  it('sends at its end what the last epoch still has to say, and is then over', async () => {
    const module = await openModule({ scenario: roof({ duration: '3 s', module: { baud: 1200 } }) });
    module.advance(3000);
    expect(module.isOver).toBe(false);
    module.advance(60_000);
    expect(module.isOver).toBe(true);
    // A module that is behind by seconds drops nothing at the end: its last line is whole.
    expect(module.read().toString('latin1').endsWith('\r\n')).toBe(true);
    module.advance(60_000);
    expect(module.read()).toHaveLength(0);
    await module.close();
    await module.close();
  });

  it('stopped within a sentence finishes just that one', async () => {
    const whole = await playRun({ scenario: roof() });
    const sentences = linesOf(whole.journal, 'sentence');
    const target = sentences.find(({ epoch }) => epoch === 20);
    const untilMs = (target?.startMs as number) + 10;
    const stopped = await playRun({ scenario: roof(), untilMs });
    const expected = sentences.filter(({ startMs }) => startMs < untilMs).map(({ text }) => `${text}\r\n`);
    expect(stopped.bytes.toString('latin1')).toBe(expected.join(''));
    expect(linesOf(stopped.journal, 'sentence').at(-1)?.text).toBe(target?.text);
    expect(linesOf(stopped.journal, 'epoch')).toHaveLength(21);
  });

  it('stopped while a fault is in force says in the journal that the fault ends there', async () => {
    const timeline = [{ at: '5 s', fault: 'frozen-position' }];
    const { journal } = await playRun({ scenario: roof({ timeline }), untilMs: 10_050 });
    const phases = linesOf(journal, 'fault').map(({ phase }) => phase);
    expect(phases).toEqual(['begin', 'end']);
    expect(linesOf(journal, 'fault').at(-1)?.atMs).toBeGreaterThanOrEqual(10_050);
  });

  it('writes a begin and an end of just those faults that began, whenever it is stopped', async () => {
    const timeline = [
      { at: '4 s', for: '1.26 s', fault: 'frozen-position' },
      { at: '5.26 s', for: '9 s', fault: 'silence' },
      { at: '3 s', for: '90 s', fault: 'garbage-bytes' },
    ];
    for (const untilMs of [5200, 5250, 5259, 5260, 5300, 9000]) {
      const { journal } = await playRun({ scenario: roof({ timeline }), untilMs });
      const records = linesOf(journal, 'fault');
      const ids = (wanted: string) => records.filter(({ phase }) => phase === wanted).map(({ id }) => id);
      expect(ids('end').sort(), `${untilMs} ms`).toEqual(ids('begin').sort());
      for (let k = 1; k < records.length; k++) {
        expect(records[k]?.atMs, `${untilMs} ms`).toBeGreaterThanOrEqual(records[k - 1]?.atMs as number);
      }
    }
  });

  it('on a slow line still ends a fault that is over only after the last epoch', async () => {
    const timeline = [{ at: '9 s', for: '1.05 s', fault: 'garbage-bytes' }];
    const { journal } = await playRun({ scenario: roof({ timeline, duration: '10 s' }), baud: 2400 });
    expect(linesOf(journal, 'fault').map(({ phase }) => phase)).toEqual(['begin', 'end']);
  });

  it('takes sentences at intervals that meet only after ages', async () => {
    const module = { sentences: { RMC: 9991, GGA: 9973 } };
    const { journal } = await playRun({ scenario: roof({ module, duration: '20 s' }) });
    expect(linesOf(journal, 'epoch')).toHaveLength(20);
  });

  it('stopped and finished gives the same beginning as one that goes on', async () => {
    const whole = await playRun({ scenario: roof() });
    for (const untilMs of [0, 1, 299.9, 12_345.678, 59_999]) {
      const stopped = await playRun({ scenario: roof(), untilMs });
      expect(whole.bytes.subarray(0, stopped.bytes.length).equals(stopped.bytes)).toBe(true);
    }
  });
});

describe('the timeline', () => {
  it('counts its times exactly: 1.1 min is epoch 66, and an end is no longer in force', async () => {
    const timeline = [{ at: '1.1 min', for: '4.1 s', surroundings: 'tunnel' }];
    const { journal } = await playRun({ scenario: roof({ duration: '80 s', timeline }) });
    const dark = linesOf(journal, 'epoch')
      .filter(({ satellites }) => satellites.every(({ state }) => state === 'hidden'))
      .map(({ index }) => index)
      .filter((index) => index > 5);
    expect(dark).toEqual([66, 67, 68, 69, 70]);
  });

  it('at tenths of a second: 0.1 s for 0.2 s is two epochs of ten a second', async () => {
    const timeline = [{ at: '0.1 s', for: '0.2 s', surroundings: 'tunnel' }];
    const { journal } = await playRun({
      scenario: roof({ duration: '1 s', timeline, module: 'single-band-115200-10hz' }),
    });
    const dark = linesOf(journal, 'epoch')
      .filter(({ satellites }) => satellites.every(({ state }) => state === 'hidden'))
      .map(({ index }) => index);
    expect(dark).toEqual([1, 2]);
  });

  it('lets the last of two surroundings in force stand', async () => {
    const timeline = [
      { at: '20 s', for: '20 s', surroundings: 'tunnel' },
      { at: '25 s', for: '5 s', surroundings: 'open' },
    ];
    const { journal } = await playRun({ scenario: roof({ timeline }) });
    const fix = linesOf(journal, 'epoch').map(({ report }) => report.fix);
    expect(fix.slice(20, 25)).toEqual(Array(5).fill('none'));
    expect(fix[29]).toBe('3d');
    expect(fix.slice(30, 40)).toEqual(Array(10).fill('none'));
  });
});

describe('the surroundings of a route', () => {
  it('are on record, from when to when, those of the last step to the end', async () => {
    const route = [
      { hold: '5 s', at: [63.43, 10.39] },
      { hold: '4 s', surroundings: 'forest' },
      { hold: '3 s', surroundings: { indoors: { roof: '20 dB' } } },
    ];
    const { lines } = await playRun({ scenario: roof({ route, duration: '15 s' }) });
    const records = lines.map((line) => JSON.parse(line)).filter(({ type }) => type === 'surroundings');
    expect(records.map(({ id, surroundings, phase, atMs }) => [id, surroundings, phase, atMs])).toEqual([
      ['route.1', 'forest', 'begin', 5000],
      ['route.2', 'indoors', 'begin', 9000],
      ['route.1', 'forest', 'end', 9000],
      ['route.2', 'indoors', 'end', 15000],
    ]);
    expect(records[1].with).toEqual({ roofDb: 20, wallDb: 25 });
  });
});

describe('the surroundings of a timeline', () => {
  it('are on record, from when to when', async () => {
    const timeline = [{ at: '5 s', for: '2 s', surroundings: 'tunnel' }];
    const { lines } = await playRun({ scenario: roof({ timeline, duration: '10 s' }) });
    const records = lines.filter((line) => line.startsWith('{"type":"surroundings"')).map((line) => JSON.parse(line));
    expect(records).toEqual([
      { type: 'surroundings', id: '1.1', surroundings: 'tunnel', phase: 'begin', atMs: 5000 },
      { type: 'surroundings', id: '1.1', surroundings: 'tunnel', phase: 'end', atMs: 7000 },
    ]);
  });
});
