import { isMapping } from '../../base/is-mapping.js';
import type { LineFormat } from './line-reader.js';
import type { FieldReader, Reading } from './report-fields.js';

/** Begins each text of a JSON sequence (RFC 7464, 2.2). */
const RECORD_SEPARATOR = '\u001e';

/**
 * JSON Lines: an object a line, or a list of them. Of a host's own output, lines that begin with no bracket are
 * a log's.
 * @param isMixed the text also has lines that are no reports
 */
export function jsonFormat(fields: FieldReader, isMixed: boolean): LineFormat {
  return {
    restart: () => {},
    isWhole(line) {
      try {
        return /^\s*\{/.test(line) && isMapping(JSON.parse(line));
      } catch {
        return false;
      }
    },
    read(line) {
      const text = (line.startsWith(RECORD_SEPARATOR) ? line.slice(1) : line).trim();
      if (isMixed && !/^[[{]/.test(text)) return [{ text: line, reading: { kind: 'other' } }];
      return readJson(text, fields);
    },
  };
}

/** Reads a JSON text: an object, or a list of objects. */
function readJson(text: string, fields: FieldReader): { text: string; reading: Reading }[] {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    return [{ text, reading: { kind: 'bad', why: wordsOf(text, error as Error) } }];
  }
  const isList = Array.isArray(value);
  return (isList ? (value as unknown[]) : [value]).map((each) => ({
    text: isList ? writtenOut(each) : text,
    reading: isMapping(each) ? fields.read(each) : { kind: 'bad', why: 'it is no JSON object' },
  }));
}

/** What is wrong with a text that is not JSON. */
function wordsOf(text: string, { message }: Error): string {
  const odd = /[:[,]\s*(-?(?:NaN|nan|Infinity|inf)|None|True|False|undefined)\b/.exec(
    text.replace(/"(?:[^"\\]|\\.)*"/g, '""'),
  )?.[1];
  if (odd !== undefined) return `it has ${odd}, which JSON does not know`;
  const token = /^Unexpected token (.+?), /.exec(message)?.[1];
  const at = Number(/position (\d+)/.exec(message)?.[1] ?? text.length);
  if (/Unterminated|end of JSON/.test(message) || (token === undefined && at >= text.length))
    return 'it ends in the middle';
  if (/^\{\s*'/.test(text)) return 'its names stand in single quotes';
  return `it is not JSON: ${token === undefined ? `wrong from character ${at + 1} on` : `${token} is out of place`}`;
}

/** A part of a list as text. */
function writtenOut(value: unknown): string {
  try {
    return JSON.stringify(value);
  } catch {
    // It is nested too deep.
    return String(typeof value);
  }
}
