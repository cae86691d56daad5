import { counted } from '../../../base/words.js';
import { whole } from '../../../scenario/fields.js';
import type { Evidence, LifeEvent } from '../../evidence.js';
import type { Span } from '../../expectation.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { seconds } from '../figures.js';
import { failed, passed, untested } from '../finding.js';
import { endBefore, ownEndsOf, wordsOf } from '../host-life.js';

/** What a restart may take beyond its own delay, ms by the machine's clock: a program's start. */
const START_MS = 1000;

/**
 * Each end of the process by itself needs a restart. One that never comes although the case goes on is a failure
 * whatever the limit: the host is gone.
 */
export const restarts = defineExpectation({
  key: 'restarts',
  title: 'Restarts of the host',
  shape: {
    restarts: whole(0, 1000, 'restarts').describe(
      'So often at most the host’s process may end and need a restart; one that it needs must follow',
    ),
  },
  describe: ({ restarts: limit }) => `${counted(limit, 'restart')} at most`,
  judge: ({ restarts: limit }, evidence, windows) => {
    if (evidence.life.length === 0) return untested('the host ran already: its process is not known');
    const ends = ownEndsOf(evidence).filter(({ atMs }) => isWithin(windows, evidence, atMs));
    const reason = `${counted(ends.length, 'restart')} needed (${limit} allowed)`;
    const gone = goneFor(windows, evidence);
    if (gone !== null) {
      const what = `${wordsOf(gone)} after ${seconds(gone.atMs)}, and was not started again`;
      return failed(what, 1, [{ atMs: gone.atMs, what, report: null }], ends.length);
    }
    if (ends.length <= limit) return passed(reason, 1, ends.length);
    const moments = ends.map((end) => ({
      atMs: end.atMs,
      what: `${wordsOf(end)} after ${seconds(end.atMs)}`,
      report: null,
    }));
    return failed(reason, 1, moments.slice(limit), ends.length);
  },
});

/** The end after which no start came, where that was in the windows or before their end; null: there was none. */
function goneFor(windows: readonly Span[], evidence: Evidence): LifeEvent | null {
  const { endMs, restartAfterMs, realMsOf } = evidence;
  const last = windows.at(-1);
  const end = endBefore(Infinity, evidence);
  if (end === null || last === undefined || (end.atMs >= last.endMs && last.endMs < endMs)) return null;
  const leftMs = realMsOf(endMs) - realMsOf(end.atMs);
  return leftMs > (restartAfterMs ?? 0) + START_MS ? end : null;
}
