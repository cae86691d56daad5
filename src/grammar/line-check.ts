import { printable } from '../base/visible.js';
import { SENTENCE_MAX } from '../emit/sentences/layout.js';
import type { Heard } from './heard-epoch.js';
import type { ViolationCode } from './violation.js';

type SayLine = (code: ViolationCode, what: string) => void;

/** Characters that the standard keeps for itself, beside the comma between fields. */
const RESERVED = new Map([...'!$*\\~'].map((character) => [character.charCodeAt(0), character]));
const CARET = 0x5e;
const SPACE = 0x20;
const TILDE = 0x7e;
/** Sentences of an encapsulation begin with `!`: those of AIS, and ABM, BBM (from memory). */
const ENCAPSULATED = /^[A-Z]{2}(VDM|VDO|ABM|BBM|VDR)$/;

/**
 * What is wrong with a sentence as a line of text, whatever it says.
 * @returns whether it came whole, so that its fields may be judged
 */
export function checkLine({ piece, sentence }: Heard, say: SayLine): boolean {
  const { text, ending } = piece;
  const { checksum } = sentence;
  if (ending === '' && checksum !== 'good') {
    say('cut-off', 'it ends without a line end, and without a checksum that is right; both are expected');
    return false;
  }
  if (ending !== '\r\n') say('line-end', `it ends with ${NAMES[ending] ?? shownText(ending)}; CR LF is allowed`);
  const length = text.length + ending.length;
  if (length > SENTENCE_MAX) say('too-long', `${length} characters with the line end; ${SENTENCE_MAX} are allowed`);
  if (sentence.start === '!' && !ENCAPSULATED.test(sentence.address)) {
    say('start', `it begins with ! as ${shownText(sentence.address.slice(0, 8))}; $ is allowed there`);
  }
  if (!sentence.isPlain) sayCharacters(text, say);
  return checkSum(sentence, say);
}

const NAMES: Readonly<Record<string, string>> = {
  '': 'nothing, and the next sentence follows at once',
  '\n': 'LF alone',
  '\r': 'CR alone',
  '\r\r\n': 'CR CR LF',
};

function checkSum({ checksum, given, expected }: Heard['sentence'], say: SayLine): boolean {
  switch (checksum) {
    case 'absent':
      say('checksum-absent', 'no * and checksum at its end; both are expected');
      return true;
    case 'malformed':
      say('checksum-form', `${shownText((given ?? '').slice(0, 8))} after the *; ${expected} is expected`);
      return false;
    case 'bad':
      say('checksum', `checksum ${given}; ${expected} is expected`);
      return false;
    default:
      if (given !== expected) say('checksum-lower-case', `checksum ${given}; ${expected} is allowed`);
      return true;
  }
}

/** The first character that is no text, and the first one that is reserved. */
function sayCharacters(text: string, say: SayLine): void {
  const star = text.lastIndexOf('*');
  const end = star < 0 ? text.length : star;
  let isSaid = false;
  let isEscapeSaid = false;
  for (let i = 1; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code < SPACE || code > TILDE) {
      if (!isSaid) say('character', `byte 0x${hex(code)} at place ${i + 1}; 0x20 to 0x7e are allowed`);
      isSaid = true;
    } else if (i < end && !isEscapeSaid) {
      const isBroken = code === CARET ? !/^[0-9A-Fa-f]{2}/.test(text.slice(i + 1, i + 3)) : RESERVED.has(code);
      if (isBroken) say('escape', `${text[i]} at place ${i + 1}; ^ and two hexadecimal digits are allowed for it`);
      isEscapeSaid = isBroken;
    }
  }
}

function hex(code: number): string {
  return code.toString(16).padStart(2, '0');
}

/** A text as it stands, in quotes, with what cannot be printed written out. */
function shownText(text: string): string {
  return `"${printable(text)}"`;
}
