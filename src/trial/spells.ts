import type { Span } from './expectation.js';

/** Times that begin and end, one after the other. */
export class Spells {
  readonly #over: Span[] = [];
  #beginMs: number | null = null;

  /** Whether there has been one. */
  get hasBegun(): boolean {
    return this.#over.length > 0 || this.#beginMs !== null;
  }

  begin(atMs: number): void {
    this.#beginMs ??= atMs;
  }

  end(atMs: number): void {
    if (this.#beginMs !== null) this.#over.push({ beginMs: this.#beginMs, endMs: atMs });
    this.#beginMs = null;
  }

  /** All of them; one that has not ended does so at `endMs`. */
  spans(endMs: number): Span[] {
    return this.#beginMs === null ? [...this.#over] : [...this.#over, { beginMs: this.#beginMs, endMs }];
  }
}

/** What of [0, endMs) is in none of the spans. */
export function without(spans: readonly Span[], endMs: number): Span[] {
  const rest: Span[] = [];
  let fromMs = 0;
  for (const span of spans) {
    if (span.beginMs > fromMs) rest.push({ beginMs: fromMs, endMs: Math.min(span.beginMs, endMs) });
    fromMs = Math.max(fromMs, span.endMs);
  }
  if (fromMs < endMs) rest.push({ beginMs: fromMs, endMs });
  return rest;
}
