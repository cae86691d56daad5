/** The longest line that is read, characters. */
export const LONGEST_LINE = 65_536;

/**
 * Cuts text into lines, in whatever chunks it comes: the lines are the same. CR, LF and CR LF end one; a line that is
 * too long is handed on with its first characters alone.
 */
export class LineCutter {
  readonly #take: (line: string, isTooLong: boolean) => void;
  #rest = '';
  #isTooLong = false;
  /** The last character was a CR: an LF that follows belongs to it. */
  #afterCr = false;

  constructor(take: (line: string, isTooLong: boolean) => void) {
    this.#take = take;
  }

  push(text: string): void {
    let from = this.#afterCr && text.startsWith('\n') ? 1 : 0;
    if (text !== '') this.#afterCr = false;
    const ends = /\r\n|[\r\n]/g;
    ends.lastIndex = from;
    for (let end = ends.exec(text); end !== null; end = ends.exec(text)) {
      this.#add(text.slice(from, end.index));
      this.#hand();
      from = end.index + end[0].length;
      this.#afterCr = end[0] === '\r' && from === text.length;
    }
    this.#add(text.slice(from));
  }

  /** The line that has not ended yet. */
  get rest(): string {
    return this.#isTooLong ? '' : this.#rest;
  }

  /** Hands on a last line that nothing ended. */
  end(): void {
    this.#afterCr = false;
    if (this.#rest !== '') this.#hand();
  }

  #add(part: string): void {
    const room = LONGEST_LINE - this.#rest.length;
    if (part.length > room) this.#isTooLong = true;
    if (part !== '') this.#rest += part.length > room ? part.slice(0, room) : part;
  }

  #hand(): void {
    const line = this.#rest;
    const isTooLong = this.#isTooLong;
    this.#rest = '';
    this.#isTooLong = false;
    this.#take(line, isTooLong);
  }
}
