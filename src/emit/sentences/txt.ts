import { two } from './fields.js';

/** Text identifier of a notice that is neither error nor warning (common practice). */
const NOTICE = '02';

/** TXT: lines of text, a sentence each, numbered; their bodies without talker. */
export function txt(lines: readonly string[]): string[] {
  return lines.map((line, i) => `TXT,${two(lines.length)},${two(i + 1)},${NOTICE},${line}`);
}
