import type { ChoiceProblem } from '../../scenario/fields.js';

/** A line's words, or what is wrong with it. */
export type SplitWords = { readonly words: readonly string[] } | { readonly problem: ChoiceProblem };

/** What a shell would not take as it is, with what it would do. */
const SHELL_ONLY = /[|&;<>()$`*?[]/;
/** What it would take for more than a character at the beginning of a word. */
const SHELL_ONLY_FIRST = /[~#]/;

const SHELL_HINT = "Nothing expands it: quote it, or let a shell do it: command: [sh, -c, '…'].";

/**
 * Splits a line into words as a POSIX shell does (The Open Group, POSIX.1-2017, Shell Command Language, 2.2 and 2.6.5),
 * without expanding anything: blanks part words; '…' is taken as it is; in "…" a backslash escapes " \ $ and `;
 * elsewhere it escapes any character. What a shell would give another meaning is a problem, not a word.
 */
export function splitWords(line: string): SplitWords {
  const words: string[] = [];
  let word: string | null = null;
  let at = 0;
  while (at < line.length) {
    const character = line[at] as string;
    if (character === "'" || character === '"') {
      const end = character === "'" ? line.indexOf("'", at + 1) : endOfDouble(line, at + 1);
      if (end < 0)
        return problem('a command in which every quote is closed', `One that begins with ${character} is not.`);
      const inside = line.slice(at + 1, end);
      if (character === '"' && /(?<!\\)(?:\\\\)*[$`]/.test(inside)) return shellOnly(inside.includes('$') ? '$' : '`');
      word = (word ?? '') + (character === "'" ? inside : inside.replace(/\\(["\\$`])/g, '$1'));
      at = end + 1;
    } else if (character === '\\') {
      if (at + 1 >= line.length) return problem('a command that does not end in a backslash', 'Write \\\\ for one.');
      word = (word ?? '') + line[at + 1];
      at += 2;
    } else if (/\s/.test(character)) {
      if (word !== null) words.push(word);
      word = null;
      at += 1;
    } else if (SHELL_ONLY.test(character) || (word === null && SHELL_ONLY_FIRST.test(character))) {
      return shellOnly(character);
    } else {
      if (words.length === 0 && character === '=' && /^[A-Za-z_]\w*$/.test(word ?? '')) {
        return problem('the program as the first word', `Set ${word} under environment.`);
      }
      word = (word ?? '') + character;
      at += 1;
    }
  }
  if (word !== null) words.push(word);
  return words.length > 0 ? { words } : problem('a command with a program as its first word');
}

/** Place of the quote that ends a text in double quotes; -1: none does. */
function endOfDouble(line: string, from: number): number {
  for (let at = from; at < line.length; at++) {
    if (line[at] === '\\') at++;
    else if (line[at] === '"') return at;
  }
  return -1;
}

function shellOnly(character: string): SplitWords {
  return problem(`a command without a bare ${character}, which a shell would act on`, SHELL_HINT);
}

function problem(expected: string, hint?: string): SplitWords {
  return { problem: { kind: 'type', expected, ...(hint === undefined ? {} : { hint }) } };
}
