/**
 * Reads the two kinds of record that a journal is made of where they have their usual form, without the cost of JSON:
 * of an epoch what the proof needs, of a sentence that went out as it was meant everything. What has another form is
 * left to `JSON.parse`. Times are whole microseconds.
 */
export class RecordScan {
  /** What was read last. */
  epoch = 0;
  startUs = 0;
  endUs = 0;
  /** Where the sentence's text stands. */
  textFrom = 0;
  textTo = 0;
  /** Where the next field begins. */
  #at = 0;

  /** A sentence with neither faults nor other bytes. @returns false: it has another form */
  sentence(bytes: Uint8Array, from: number, to: number): boolean {
    if (!isAt(bytes, from, to, SENTENCE)) return false;
    const epoch = this.#whole(bytes, from + SENTENCE.length, to);
    if (epoch < 0 || !isAt(bytes, this.#at, to, TEXT)) return false;
    this.textFrom = this.#at + TEXT.length;
    let at = this.textFrom;
    for (; at < to; at++) {
      const byte = bytes[at] as number;
      if (byte === QUOTE) break;
      if (byte === BACKSLASH || byte < SPACE || byte > TILDE) return false;
    }
    this.textTo = at;
    if (!isAt(bytes, at, to, START)) return false;
    const startUs = this.#time(bytes, at + START.length, to);
    if (startUs < 0 || !isAt(bytes, this.#at, to, END)) return false;
    const endUs = this.#time(bytes, this.#at + END.length, to);
    if (endUs < 0 || to - this.#at !== NO_FAULTS.length || !isAt(bytes, this.#at, to, NO_FAULTS)) return false;
    this.epoch = epoch;
    this.startUs = startUs;
    this.endUs = endUs;
    return true;
  }

  /**
   * An epoch without faults: its number and time; what is true and reported at it is not looked at.
   * @returns false: it has another form
   */
  epochAlone(bytes: Uint8Array, from: number, to: number): boolean {
    if (!isAt(bytes, from, to, EPOCH)) return false;
    const index = this.#whole(bytes, from + EPOCH.length, to);
    if (index < 0 || !isAt(bytes, this.#at, to, AT)) return false;
    const atUs = this.#time(bytes, this.#at + AT.length, to);
    if (atUs < 0 || bytes[this.#at] !== COMMA || !endsWithoutFaults(bytes, this.#at, to)) return false;
    this.epoch = index;
    this.startUs = atUs;
    return true;
  }

  /** A whole number of up to nine digits; -1: there is none. */
  #whole(bytes: Uint8Array, from: number, to: number): number {
    let value = 0;
    let at = from;
    for (; at < to; at++) {
      const digit = (bytes[at] as number) - ZERO;
      if (digit < 0 || digit > 9) break;
      value = 10 * value + digit;
    }
    this.#at = at;
    return at > from && at - from <= 9 ? value : -1;
  }

  /** A time, ms with up to three decimals, in us; -1: there is none. */
  #time(bytes: Uint8Array, from: number, to: number): number {
    let us = 0;
    let at = from;
    let decimals = -1;
    for (; at < to; at++) {
      const byte = bytes[at] as number;
      if (byte === POINT && decimals < 0 && at > from) decimals = 0;
      else if (byte >= ZERO && byte <= NINE) {
        us = 10 * us + byte - ZERO;
        if (decimals >= 0) decimals++;
      } else break;
    }
    this.#at = at;
    if (at === from || at - from > MOST_DIGITS || decimals === 0 || decimals > 3) return -1;
    return us * (SCALE[Math.max(0, decimals)] as number);
  }
}

/** So many characters of a number stay exact as microseconds. */
const MOST_DIGITS = 13;

/** From what has so many decimals of a millisecond to microseconds. */
const SCALE = [1000, 100, 10, 1] as const;

const [QUOTE, BACKSLASH, SPACE, TILDE, COMMA, POINT, ZERO, NINE] = [0x22, 0x5c, 0x20, 0x7e, 0x2c, 0x2e, 0x30, 0x39];
const CLOSING = 0x7d;

/** What an epoch has behind its faults takes no more, bytes. */
const LAST_FIELDS = 512;

const SENTENCE = ascii('{"type":"sentence","epoch":');
const TEXT = ascii(',"text":"');
const START = ascii('","startMs":');
const END = ascii(',"endMs":');
const NO_FAULTS = ascii(',"faults":[]}');
const FAULTS = ascii(',"faults":[');
const NONE_IN_FORCE = ascii(',"faults":[]');
const EPOCH = ascii('{"type":"epoch","index":');
const AT = ascii(',"atMs":');

/** Whether no faults stand among an epoch's last fields; the satellites before them may take thousands of bytes. */
function endsWithoutFaults(bytes: Uint8Array, from: number, to: number): boolean {
  if (bytes[to - 1] !== CLOSING) return false;
  const first = Math.max(from, to - LAST_FIELDS);
  for (let at = to - NO_FAULTS.length; at >= first; at--) {
    if (bytes[at] === COMMA && isAt(bytes, at, to, FAULTS)) return isAt(bytes, at, to, NONE_IN_FORCE);
  }
  return false;
}

function ascii(text: string): Uint8Array {
  return Uint8Array.from(text, (character) => character.charCodeAt(0));
}

function isAt(bytes: Uint8Array, from: number, to: number, word: Uint8Array): boolean {
  if (to - from < word.length) return false;
  for (let i = 0; i < word.length; i++) if (bytes[from + i] !== word[i]) return false;
  return true;
}
