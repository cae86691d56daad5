/** The longest element, tag or comment that is read, characters. */
const LONGEST = 65_536;
const TOO_LONG = `an element of more than ${LONGEST} characters`;

/** A comment, a section of characters, an instruction, or a tag. No attribute's value has a `<` (XML 1.0, 3.1). */
const MARKUP = new RegExp(
  [
    /<!--[\s\S]*?-->/,
    /<!\[CDATA\[[\s\S]*?\]\]>/,
    /<\?[\s\S]*?\?>/,
    /<(\/?)([^\s/>"'=<!?]{1,100})(?:[^>"'<]|"[^"<]*"|'[^'<]*')*>/,
  ]
    .map(({ source }) => source)
    .join('|'),
  'y',
);

/** Who takes what was cut out. */
export interface ElementTaker {
  /** An element that is whole, with its tags. */
  element(text: string): void;
  /** The start tag of the root. */
  root(tag: string): void;
  bad(text: string, why: string): void;
}

/** Cuts elements of some names out of XML that comes in chunks, also where the document is not whole, or not yet. */
export class ElementCutter {
  readonly #names: readonly string[];
  readonly #root: string;
  readonly #take: ElementTaker;
  #text = '';
  /** Where to go on in the text. */
  #at = 0;
  /** Where the element begins that is open, and its name. */
  #open: { readonly from: number; readonly name: string } | null = null;

  /** @param names of the elements, without a prefix @param root name of the root */
  constructor(names: readonly string[], root: string, take: ElementTaker) {
    this.#names = names;
    this.#root = root;
    this.#take = take;
  }

  push(text: string): void {
    this.#text += text;
    for (;;) {
      const next = this.#text.indexOf('<', this.#at);
      if (next < 0) {
        this.#at = this.#text.length;
        break;
      }
      MARKUP.lastIndex = next;
      const match = MARKUP.exec(this.#text);
      this.#at = next;
      if (match === null || match[0].length > LONGEST) {
        const end = this.#endOfBroken(next);
        if (end === null) break;
        this.#at = end;
      } else {
        this.#at = MARKUP.lastIndex;
        this.#markup(match, next);
      }
    }
    this.#forget();
  }

  /** @returns what is left of an element that has not ended; null: none is open */
  end(): string | null {
    const rest = this.#open === null ? null : this.#text.slice(this.#open.from);
    this.#text = '';
    this.#at = 0;
    this.#open = null;
    return rest;
  }

  #markup([all, slash, name]: RegExpExecArray, from: number): void {
    if (name === undefined) return;
    const local = name.slice(name.indexOf(':') + 1);
    if (this.#open !== null) {
      if (slash !== '/' || name !== this.#open.name) return;
      const { from: begin } = this.#open;
      const element = this.#text.slice(begin, from + all.length);
      this.#open = null;
      if (element.length > LONGEST) this.#take.bad(element, TOO_LONG);
      else this.#take.element(element);
    } else if (slash === '' && this.#names.includes(local)) {
      if (all.endsWith('/>')) this.#take.element(all);
      else this.#open = { from, name };
    } else if (slash === '' && local === this.#root) {
      this.#take.root(all);
    }
  }

  /** Where to go on behind markup that never ends as it should; null: more may make it whole. */
  #endOfBroken(at: number): number | null {
    const isTag = /^<[^!?]/.test(this.#text.slice(at, at + 2));
    const next = isTag ? this.#text.indexOf('<', at + 1) : -1;
    if (next < 0 && this.#text.length - at <= LONGEST) return null;
    const end = next < 0 ? at + LONGEST : next;
    // Within an element, reading the element will tell.
    if (this.#open === null) this.#take.bad(this.#text.slice(at, end), 'it is not XML: a tag that does not end');
    return end;
  }

  /** Lets go of what has been read, and of an element that grows too long. */
  #forget(): void {
    if (this.#open !== null && this.#text.length - this.#open.from > LONGEST) {
      this.#take.bad(this.#text.slice(this.#open.from), TOO_LONG);
      this.#open = null;
    }
    const from = this.#open?.from ?? this.#at;
    if (from === 0) return;
    this.#text = this.#text.slice(from);
    this.#at -= from;
    if (this.#open !== null) this.#open = { from: 0, name: this.#open.name };
  }
}
