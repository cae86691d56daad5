import { whole } from '../../../scenario/fields.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { count, seconds } from '../figures.js';
import { failed, passed, untested } from '../finding.js';
import { ownEndsOf, wordsOf } from '../host-life.js';

/** Each end of the process by itself needs a restart, whether one follows or the case is over before. */
export const restarts = defineExpectation({
  key: 'restarts',
  title: 'Restarts of the host',
  shape: {
    restarts: whole(0, 1000, 'restarts').describe('So often at most the host’s process may end and need a restart'),
  },
  describe: ({ restarts: limit }) => `${count(limit, 'restart')} at most`,
  judge: ({ restarts: limit }, evidence, windows) => {
    if (evidence.life.length === 0) return untested('the host ran already: its process is not known');
    const ends = ownEndsOf(evidence).filter(({ atMs }) => isWithin(windows, evidence, atMs));
    const reason = `${count(ends.length, 'restart')} needed (${limit} allowed)`;
    if (ends.length <= limit) return passed(reason, 1, ends.length);
    const moments = ends.map((end) => ({
      atMs: end.atMs,
      what: `${wordsOf(end)} after ${seconds(end.atMs)}`,
      report: null,
    }));
    return failed(reason, 1, moments.slice(limit), ends.length);
  },
});
