import type { CaptureSite } from '../dialect/pattern.js';
import { type CaptureKind, type CaptureType, readValue } from '../dialect/values.js';
import { SENTENCE_NAMES } from '../emit/sentences/style.js';
import type { Notes } from './dialect-notes.js';
import type { RawCapture } from './dialect-schema.js';
import type { ValuePath } from './document.js';
import { mistake } from './explain.js';

/** What a command's captures may be. @param at the command */
export function readCaptureTypes(
  raw: Readonly<Record<string, RawCapture>>,
  sites: readonly CaptureSite[],
  at: ValuePath,
  { document, mistakes }: Notes,
): ReadonlyMap<string, CaptureType> {
  const names = sites.map(({ name }) => name);
  const twice = names.find((name, i) => names.indexOf(name) < i);
  if (twice !== undefined) {
    const detail = { kind: 'range', expected: 'captures of different names', received: `${twice} twice` };
    mistakes.push(mistake(document, at, detail));
  }
  const types = new Map<string, CaptureType>();
  for (const [name, each] of Object.entries(raw)) {
    const place = [...at, 'with', name];
    if (!names.includes(name)) {
      const expected = names.length === 0 ? 'no captures: the pattern has none' : `one of ${names.join(', ')}`;
      mistakes.push(mistake(document, place, { kind: 'unknown-word', expected, received: name }, true));
      continue;
    }
    const kind = kindOf(each);
    const type = { kind, default: each.default ?? null };
    types.set(name, type);
    if ('range' in kind && kind.range[0] > kind.range[1]) {
      const detail = { kind: 'range', expected: 'the least before the most', received: kind.range.join(', ') };
      mistakes.push(mistake(document, place, detail));
    } else if (type.default !== null && readValue(kind, type.default) === null) {
      const detail = { kind: 'range', expected: 'a default that is allowed', received: type.default };
      mistakes.push(mistake(document, [...place, 'default'], detail));
    }
  }
  return types;
}

function kindOf(raw: RawCapture): CaptureKind {
  if ('number' in raw) return { is: 'number', unit: raw.number, range: raw.range };
  if ('integer' in raw) return { is: 'integer', range: raw.integer };
  if ('among' in raw) return { is: 'among', values: raw.among };
  if ('word' in raw) return { is: 'word', words: new Map(Object.entries(raw.word)) };
  if ('sentence' in raw) return { is: 'sentence', names: raw.sentence === 'any' ? SENTENCE_NAMES : raw.sentence };
  return { is: 'text', longest: raw.text };
}
