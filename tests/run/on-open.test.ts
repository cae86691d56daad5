import { closeSync, constants, openSync } from 'node:fs';
import { expect, it } from 'vitest';
import { loadLinuxCalls } from '../../src/emit/ports/linux-calls.js';
import { openModule } from '../../src/index.js';
import { sleep, until } from '../contract/rigs.js';
import { type JournalLine, linesOf, roof } from './helper.js';

/** The run goes so many times as fast as the clock, so that the test takes less time. */
const PACE = 4;
const BOOT_MS = 3000;
/** What a loaded machine may need, of its own time, to notice an opening, or to read, ms. */
const SLACK_MS = 300;
/** What comes from outside takes effect at the tick that the run has reached; it goes on every 100 ms at least, ms. */
const REACHED_MS = 100 + 20;

it('a module with on-open cold and boot 3 s is silent for 3 s after a host opens, at every opening', async () => {
  const calls = await loadLinuxCalls();
  const lines: string[] = [];
  const module = await openModule({
    scenario: roof({ module: { 'on-open': 'cold', boot: '3 s' }, duration: '60 s' }),
    port: 'pty',
    clock: PACE,
    onJournal: (line) => lines.push(line),
  });
  // It has been on for a while, and says where it is.
  await until(() => module.nowMs > 6000, 'six seconds');
  const into = Buffer.alloc(4096);
  for (let opening = 1; opening <= 3; opening++) {
    const fd = openSync(module.port, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
    const openedMs = module.nowMs;
    const reads: { atMs: number; text: string }[] = [];
    const all = () => reads.map(({ text }) => text).join('');
    await until(() => {
      const count = calls.read(fd, into);
      if (count > 0) reads.push({ atMs: module.nowMs - openedMs, text: into.toString('latin1', 0, count) });
      return /TXT.*RMC,[^\r]*\r/s.test(all());
    }, 'the first position');
    // What was on the line as the host opened is cut off as the module starts anew.
    const heard = reads.filter(({ atMs }) => atMs > SLACK_MS * PACE);
    expect(heard[0]?.atMs).toBeGreaterThanOrEqual(BOOT_MS - REACHED_MS * PACE);
    expect(heard[0]?.atMs).toBeLessThan(BOOT_MS + SLACK_MS * PACE);
    // The banner comes first, and the position is lost: a cold start.
    const text = heard.map((read) => read.text).join('');
    expect(text).toMatch(/^\$G[A-Z]TXT,[^\r\n]*SIMULATED/);
    expect(/RMC,[^,]*,([AV])/.exec(text)?.[1]).toBe('V');
    closeSync(fd);
    await sleep(50);
  }
  await module.close();
  const journal = lines.map((line) => JSON.parse(line) as JournalLine);
  const restarts = linesOf(journal, 'fault').filter(({ kind, phase }) => kind === 'restart' && phase === 'begin');
  expect(restarts.map((line) => line.with)).toEqual(Array(3).fill({ start: 'cold', off: 0, cut: 'at-once' }));
  const comings = linesOf(journal, 'host').map((line) => (line as { event?: string }).event);
  expect(comings).toEqual(Array(3).fill(['open', 'close']).flat());
});
