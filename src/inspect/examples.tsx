import type { JSX } from 'preact';
import { cut } from '../base/visible.js';
import { count } from '../report/figures.js';
import type { Occurrence } from './inspect-report.js';

/** Examples of one kind that are shown. */
const EXAMPLES = 3;
const LINE_CHARACTERS = 120;

/** Lines of the stream, each with its number and the time around it. */
export function Examples({
  examples,
}: {
  readonly examples: readonly (Occurrence & { readonly what?: string })[];
}): JSX.Element {
  return (
    <ol class="stream">
      {examples.slice(0, EXAMPLES).map(({ line, at, text, what }) => (
        <li>
          <time>{`line ${count(line)}`}</time>
          <span>
            {cut(text, LINE_CHARACTERS)}
            {(what !== undefined || at !== null) && (
              <em>{`  ← ${[what, at].filter((part) => part !== undefined && part !== null).join(', ')}`}</em>
            )}
          </span>
        </li>
      ))}
    </ol>
  );
}
