import type { Notes } from './dialect-notes.js';
import type { RawCommand, RawDialect } from './dialect-schema.js';
import type { ValuePath } from './document.js';
import { mistake } from './explain.js';

const DOLLAR = 0x24;

/** Notes commands that nothing reaches, or that have another one's name, and frames that begin as sentences do. */
export function noteConflicts(raw: RawDialect, notes: Notes): void {
  const note = (at: ValuePath, expected: string, received: string) =>
    notes.mistakes.push(mistake(notes.document, at, { kind: 'range', expected, received }));
  const names = new Map<string, number>();
  const forms = new Map<string, number>();
  for (const [i, command] of raw.commands.entries()) {
    const form = formOf(command, raw);
    const [named, alike] = [names.get(command.name), forms.get(form)];
    if (named !== undefined) {
      note(['commands', i, 'name'], `a name that no other command has: commands.${named + 1} has it`, command.name);
    } else if (alike !== undefined) {
      const key = patternKey(command);
      const expected = `another pattern than that of commands.${alike + 1}, which takes all that this would`;
      note(['commands', i, key], expected, patternOf(command));
    }
    if (named === undefined) names.set(command.name, i);
    if (alike === undefined) forms.set(form, i);
  }
  const hearsSentences = raw.queries || raw.commands.some((command) => 'sentence' in command);
  for (const [i, { start }] of raw.frames.entries()) {
    if (!hearsSentences || start[0] !== DOLLAR || !isInSentence(start[1])) continue;
    const expected = 'behind 24, a sentence’s $, a byte that is no letter or digit: every sentence seems to be a frame';
    note(['frames', i, 'start'], expected, [...start].map((byte) => byte.toString(16).toUpperCase()).join(' '));
  }
}

/** What may stand behind a sentence's dollar sign; nothing is left to tell it by where a start has no second byte. */
function isInSentence(byte = 0x41): boolean {
  return /[0-9A-Za-z]/.test(String.fromCharCode(byte));
}

function patternKey(command: RawCommand): string {
  return 'sentence' in command ? 'sentence' : 'line' in command ? 'line' : 'body';
}

function patternOf(command: RawCommand): string {
  return 'sentence' in command ? command.sentence : 'line' in command ? command.line : command.body;
}

/** Equal for two commands that take the same: what their captures are called does not matter. */
function formOf(command: RawCommand, raw: RawDialect): string {
  const key = patternKey(command);
  const pattern = patternOf(command).replace(/\{[a-z][a-z0-9-]*/g, '{');
  const shown = key === 'body' ? pattern.replace(/\s/g, '').toUpperCase() : pattern;
  const policy = 'sentence' in command ? (command.checksum ?? raw.checksum) : '';
  const frame = 'body' in command ? (command.frame ?? '') : '';
  return JSON.stringify([key, shown, policy, frame, Object.values(command.with ?? {})]);
}
