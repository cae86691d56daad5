/** The longest object that is read, characters: a line of a day's positions fits. */
const LONGEST = 8_388_608;
/** So many brackets may be open at a time: far more than GeoJSON has. */
const DEEPEST = 500;

/** Who takes what was cut out. */
export interface ObjectTaker {
  /** A JSON object as it stands, whole. */
  object(text: string): void;
  bad(text: string, why: string): void;
}

/**
 * Cuts JSON objects out of text that comes in chunks: those that stand by themselves, those of a list, and those of the
 * list `features` of an object, each as soon as it is whole. What stands between them is passed over; where that may be
 * a log, whose brackets need not fit together, a line that begins with `{` begins anew.
 */
export class ObjectCutter {
  readonly #take: ObjectTaker;
  readonly #isMixed: boolean;
  /** What comes next is a line's first character. */
  #atLineStart = true;
  /** The brackets that are open. */
  #open = '';
  /** How many were open where the object begins that is being cut; -1: none is. */
  #depth = -1;
  #object = '';
  #isTooLong = false;
  #inString = false;
  #isEscaped = false;
  /** The string that stood last in an object that is not part of another one: maybe a name. */
  #name = '';
  #string = '';
  /** The open list is called `features`. */
  #inFeatures = false;

  /** @param isMixed lines of a log may stand between the objects */
  constructor(take: ObjectTaker, isMixed: boolean) {
    this.#take = take;
    this.#isMixed = isMixed;
  }

  push(text: string): void {
    let from = 0;
    for (let at = 0; at < text.length; at++) {
      const character = text[at] as string;
      if (this.#inString) {
        if (!this.#inStringOf(character)) {
          this.#keep(text.slice(from, at));
          this.#break('a text in it goes on over the end of a line');
          from = at;
        }
      } else if (character === '"') {
        this.#inString = this.#open !== '';
        this.#string = '';
      } else if (character === ':') {
        if (this.#open === '{') this.#name = this.#string;
      } else if (character === '{' || character === '[') {
        const isAnew = this.#isMixed && character === '{' && this.#atLineStart && this.#open !== '';
        if (isAnew || this.#open.length === DEEPEST) {
          this.#keep(text.slice(from, at));
          this.#break(isAnew ? 'it ends in the middle' : `more than ${DEEPEST} brackets are open in it`);
          from = at;
        }
        if (this.#begins(character)) from = at;
        this.#open += character;
      } else if (character === '}' || character === ']') {
        if (!this.#closes(character)) {
          this.#keep(text.slice(from, at + 1));
          this.#break('its brackets do not fit together');
          from = at + 1;
        } else if (this.#open.length === this.#depth) {
          this.#keep(text.slice(from, at + 1));
          this.#hand();
          from = at + 1;
        }
      }
      this.#atLineStart = character === '\n';
    }
    this.#keep(text.slice(from));
  }

  /** Nothing more comes: an object that is not whole is bad. */
  end(): void {
    if (this.#depth >= 0) this.#break('it ends in the middle');
    this.reset();
    this.#atLineStart = true;
  }

  /** False at a line's end, which no JSON text may have in it. */
  #inStringOf(character: string): boolean {
    if (character === '\n') return false;
    if (this.#isEscaped) this.#isEscaped = false;
    else if (character === '\\') this.#isEscaped = true;
    else if (character === '"') this.#inString = false;
    if (this.#inString && this.#open === '{' && this.#string.length < 20) this.#string += character;
    return true;
  }

  /** True where an object begins that is to be cut. */
  #begins(character: string): boolean {
    if (character === '[' && this.#open === '{' && this.#depth === 0 && this.#name === 'features') {
      // A collection: its features are what is wanted.
      this.#inFeatures = true;
      this.#depth = -1;
      this.#object = '';
      this.#isTooLong = false;
    }
    if (character !== '{' || this.#depth >= 0) return false;
    const isWanted = this.#open === '' || this.#open === '[' || (this.#open === '{[' && this.#inFeatures);
    if (isWanted) this.#depth = this.#open.length;
    return isWanted;
  }

  /** False where no such bracket is open. */
  #closes(character: string): boolean {
    const last = this.#open.at(-1);
    // What is closed outside of all is passed over.
    if (last === undefined) return true;
    if (last !== (character === '}' ? '{' : '[')) return false;
    this.#open = this.#open.slice(0, -1);
    if (this.#open === '{') this.#inFeatures = false;
    return true;
  }

  #keep(part: string): void {
    if (this.#depth < 0) return;
    if (this.#object.length + part.length > LONGEST) this.#isTooLong = true;
    if (!this.#isTooLong) this.#object += part;
  }

  #hand(): void {
    const text = this.#object;
    const isTooLong = this.#isTooLong;
    this.#object = '';
    this.#depth = -1;
    this.#isTooLong = false;
    if (isTooLong) this.#take.bad(text, `an object of more than ${LONGEST} characters`);
    else this.#take.object(text);
  }

  #break(why: string): void {
    if (this.#depth >= 0) this.#take.bad(this.#object, why);
    this.reset();
  }

  /** Begins anew; what is not whole is forgotten. */
  reset(): void {
    this.#open = '';
    this.#depth = -1;
    this.#object = '';
    this.#isTooLong = false;
    this.#inString = false;
    this.#isEscaped = false;
    this.#inFeatures = false;
    this.#name = '';
    this.#string = '';
  }
}
