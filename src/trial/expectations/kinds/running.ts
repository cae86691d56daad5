import { z } from 'zod';
import { counted } from '../../../base/words.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { seconds } from '../figures.js';
import { failed, passed, untested } from '../finding.js';
import { endBefore, ownEndsOf, wordsOf } from '../host-life.js';

export const running = defineExpectation({
  key: 'running',
  title: 'Host keeps running',
  shape: {
    running: z
      .literal(true, { error: 'expected true' })
      .describe('true: the host’s process never ends by itself, whether with an error or not'),
  },
  describe: () => 'the host keeps running',
  judge: (_, evidence, windows) => {
    if (evidence.life.length === 0) return untested('the host ran already: its process is not known');
    // Who has ended before a window begins does not run in it.
    const gone = windows.map(({ beginMs }) => endBefore(beginMs, evidence));
    const own = ownEndsOf(evidence);
    const ends = own.filter((end) => isWithin(windows, evidence, end.atMs) || gone.includes(end));
    const [first] = ends;
    if (first === undefined) return passed(`ran to the end, ${seconds(evidence.endMs)}`, 1);
    const moments = ends.map((end) => ({ atMs: end.atMs, what: wordsOf(end), report: null }));
    const more = ends.length === 1 ? '' : `, and ${counted(ends.length - 1, 'time')} more`;
    return failed(`${wordsOf(first)} after ${seconds(first.atMs)}${more}`, 1, moments, first.atMs / 1000);
  },
});
