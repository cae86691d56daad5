/** What a {@link LodestubError} carries beside its message. */
export interface ErrorDetail {
  /** Stable dotted name, listed in the reference: `scenario.range`. */
  readonly code: string;
  /** Where: a file with line and column, an option, a setting. */
  readonly path?: string;
  /** What was expected, with its unit. */
  readonly expected?: string;
  /** What was found. */
  readonly received?: string;
  /** The way out, one sentence. */
  readonly hint?: string;
  /** What failed, where `expected` and `received` do not say it. */
  readonly summary?: string;
  /** The underlying error. */
  readonly cause?: unknown;
}

/** A mistake of the user or of the surroundings, never a broken invariant: one message without a stack trace. */
export class LodestubError extends Error {
  readonly code: string;
  readonly path: string | undefined;
  readonly expected: string | undefined;
  readonly received: string | undefined;
  readonly hint: string | undefined;
  readonly summary: string | undefined;

  constructor(detail: ErrorDetail) {
    super(describe(detail), detail.cause === undefined ? undefined : { cause: detail.cause });
    this.name = 'LodestubError';
    this.code = detail.code;
    this.path = detail.path;
    this.expected = detail.expected;
    this.received = detail.received;
    this.hint = detail.hint;
    this.summary = detail.summary;
  }
}

/** The template of every message: `code: path: summary; expected …, got …. Hint.` */
function describe({ code, path, expected, received, hint, summary }: ErrorDetail): string {
  const found = [expected === undefined ? '' : `expected ${expected}`, received === undefined ? '' : `got ${received}`]
    .filter((part) => part !== '')
    .join(', ');
  const what = [summary ?? '', found].filter((part) => part !== '').join('; ');
  const where = [path ?? '', what].filter((part) => part !== '').join(': ');
  const sentence = where.endsWith('.') ? where : `${where}.`;
  return hint === undefined ? `${code}: ${sentence}` : `${code}: ${sentence} ${hint}`;
}
