import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { linesOf, playRun } from '../run/helper.js';

/** The first minute of the built-in scenario with this seed, a line each: start and end in ms, and the sentence. */
const FILE = new URL('built-in-60s.txt', import.meta.url);
const SEED = 20_260_101;

/**
 * Regression, not truth: what a version of Lodestub has once said must not change by accident. Where a change is meant,
 * run `LODESTUB_RENEW_GOLDEN=1 npx vitest run --config tests/vitest.config.ts tests/golden`, look at the difference,
 * and say in the commit why it is right: bytes are a promise of the version number.
 */
it('regression, not truth: the first minute of the built-in scenario is as pinned', async () => {
  const { journal } = await playRun({ seed: SEED, untilMs: 60_000 });
  const text = linesOf(journal, 'sentence')
    .map((line) => `${line.startMs.toFixed(3)} ${line.endMs.toFixed(3)} ${line.text}\n`)
    .join('');
  if (process.env.LODESTUB_RENEW_GOLDEN === '1') writeFileSync(FILE, text);
  expect(existsSync(FILE), 'built-in-60s.txt is missing: renew it as described in this test').toBe(true);
  const pinned = readFileSync(FILE, 'utf8').split('\n');
  const now = text.split('\n');
  const line = now.findIndex((each, i) => each !== pinned[i]);
  expect([line < 0 ? null : line + 1, now[line], now.length]).toEqual([null, pinned[line], pinned.length]);
});
