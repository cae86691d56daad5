import type { JSX } from 'preact';

/** What came out of a test or a look. */
export type VerdictWord = 'passed' | 'failed' | 'untested' | 'broken' | 'good' | 'remark' | 'bad';

/** Each has a shape of its own, so that it is told apart without colour, in a box of 16 by 16. */
const SHAPES: Readonly<Record<VerdictWord, { readonly tone: string; readonly path: string }>> = {
  passed: { tone: 'good', path: 'M3.5 8.5 6.8 11.8 12.5 4.6' },
  good: { tone: 'good', path: 'M3.5 8.5 6.8 11.8 12.5 4.6' },
  failed: { tone: 'bad', path: 'M4 4 12 12 M12 4 4 12' },
  bad: { tone: 'bad', path: 'M4 4 12 12 M12 4 4 12' },
  broken: { tone: 'broken', path: 'M9.5 2.5 5.5 8.5 H10.5 L6.5 13.5' },
  remark: { tone: 'remark', path: 'M8 3.5 V9 M8 11.6 V12.6' },
  untested: { tone: 'untested', path: 'M3.5 8 H12.5' },
};

/** A verdict as a mark with its word. */
export function Verdict({ verdict }: { readonly verdict: VerdictWord }): JSX.Element {
  const { tone, path } = SHAPES[verdict];
  return (
    <span class={`verdict ${tone}`}>
      <svg viewBox="0 0 16 16" aria-hidden="true">
        <path d={path} />
      </svg>
      {verdict}
    </span>
  );
}
