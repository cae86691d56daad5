import type { LodestubError } from '../base/error.js';
import type { ValuePath, YamlDocument } from '../scenario/document.js';
import { mistake, report } from '../scenario/explain.js';

/** The error for a value of a trial that is not one of those allowed there. */
export function wrong(
  document: YamlDocument,
  at: ValuePath,
  expected: string,
  received: string,
  hint?: string,
): LodestubError {
  const detail = { kind: 'range', expected, received, ...(hint === undefined ? {} : { hint }) };
  return report(document, [mistake(document, at, detail)]);
}
