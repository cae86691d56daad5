/** Control characters but tab and line feed, and marks that turn the direction of what follows. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for
const HIDDEN = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff]/g;
const LONE_SURROGATE = /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

/** The text with what cannot be seen written out: `\x07`, `\u202e`; half a character `\ud800`. */
export function visible(text: string): string {
  return text.replace(LONE_SURROGATE, writtenOut).replace(HIDDEN, writtenOut);
}

/** Bytes, a character each (latin1), with all that is no printable ASCII written out: `\x07`, `\xb0`. */
export function printable(text: string): string {
  // A cut is marked by three dots in one character, which no byte is.
  return text.replace(/[^\x20-\x7e…]/g, writtenOut);
}

function writtenOut(character: string): string {
  const code = character.charCodeAt(0).toString(16);
  return code.length <= 2 ? `\\x${code.padStart(2, '0')}` : `\\u${code.padStart(4, '0')}`;
}

/** The text, and where it is longer than so many characters its beginning and how long it is. */
export function cut(text: string, length: number): string {
  return text.length <= length ? text : `${text.slice(0, length)}… (${text.length} characters)`;
}
