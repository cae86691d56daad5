import type { LineFormat } from './line-reader.js';
import type { FieldReader } from './report-fields.js';

/** Plain text: the first pattern that matches a line has the fields as its named groups; other lines are no reports. */
export function textFormat(patterns: readonly RegExp[], fields: FieldReader): LineFormat {
  return {
    restart: () => {},
    read(line) {
      for (const pattern of patterns) {
        const groups = pattern.exec(line)?.groups;
        if (groups !== undefined) return [{ text: line, reading: fields.read(withoutAbsent(groups)) }];
      }
      return [{ text: line, reading: { kind: 'other' } }];
    },
  };
}

/** A group that took no part in the match is absent, not blank. */
function withoutAbsent(groups: Readonly<Record<string, string | undefined>>): Record<string, string> {
  return Object.fromEntries(Object.entries(groups).filter((each): each is [string, string] => each[1] !== undefined));
}
