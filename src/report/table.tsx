import type { ComponentChildren, JSX } from 'preact';

/** A column: its head, and whether it holds figures, which are set to the right. */
export interface Column {
  readonly head: string;
  readonly isFigure?: boolean;
  /** Text of a line of a stream or a program: set in fixed pitch, and broken anywhere. */
  readonly isCode?: boolean;
  /** Prose: on a narrow screen the table scrolls rather than to break it after every word. */
  readonly isLong?: boolean;
}

/** A table; on a narrow screen it scrolls by itself, and the page does not. */
export function Table(props: {
  readonly caption?: string;
  readonly columns: readonly Column[];
  readonly rows: readonly (readonly ComponentChildren[])[];
}): JSX.Element {
  const { caption, columns, rows } = props;
  const kindOf = (index: number) => {
    const column = columns[index];
    return column?.isFigure ? 'figure' : column?.isCode ? 'code' : column?.isLong ? 'long' : undefined;
  };
  return (
    <div class="table">
      <table>
        {caption !== undefined && <caption>{caption}</caption>}
        <thead>
          <tr>
            {columns.map(({ head }, index) => (
              <th scope="col" class={kindOf(index)}>
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr>
              {row.map((cell, index) => (
                <td class={kindOf(index)}>{cell}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** Terms with what is said of each: a short list of facts. */
export function Facts({ facts }: { readonly facts: readonly (readonly [string, ComponentChildren])[] }): JSX.Element {
  return (
    <dl class="facts">
      {facts.map(([term, value]) => (
        <div>
          <dt>{term}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}
