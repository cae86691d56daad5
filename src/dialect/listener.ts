import type { Command, HostListener, ModuleFacts } from './command.js';
import type { DialectDefinition } from './definition.js';
import { bodyOf, isRight, sizeAt } from './frame.js';
import { noise, understandFrame, understandLine, understandSentence } from './understand.js';

const CR = 13;
const LF = 10;
const DOLLAR = 0x24;

/** What a byte may begin. */
const FRAME = 1;
const SENTENCE = 2;
const LINE = 4;

/** Not enough has come. */
const WAIT = 0;
/** Nothing begins here. */
const NONE = -1;

/**
 * Listens to a stream in which sentences, lines and frames stand among each other and among noise. It holds back what
 * has begun and is not complete, never more than the longest sentence or frame. What turns out not to be what it seemed
 * to begin is looked through again from its second byte on. How the stream is cut makes no difference.
 */
export class Listener implements HostListener {
  readonly #definition: DialectDefinition;
  /** By a byte's value: what it may begin. */
  readonly #begins = new Uint8Array(256);
  readonly #buffer: Uint8Array;
  /** When each byte came, ms. */
  readonly #timesMs: Float64Array;
  /** The bytes held: from here to there. */
  #from = 0;
  #to = 0;
  /** Up to here the text that begins at `#from` has been looked through for its end. */
  #scanned = 0;
  /** The rest of a line that was too long is noise. */
  #isOverlong = false;
  /** Where noise begins that is still to be told; -1: none. */
  #noiseFrom = -1;
  /** The byte before was noise. */
  #isNoisy = false;
  /** Up to here bytes have been told already, as a damaged frame. */
  #toldTo = 0;
  /** When what begins at `#from` becomes too old; Infinity where nothing is held. */
  #dueMs = Infinity;

  constructor(definition: DialectDefinition) {
    this.#definition = definition;
    const { sentences, queryDelayMs, lines, frames, longestText } = definition;
    for (const { format } of frames) this.#begin(format.start[0] as number, FRAME);
    if (sentences.length > 0 || queryDelayMs !== null) this.#begin(DOLLAR, SENTENCE);
    if (lines !== null) {
      if (lines.start !== '') this.#begin(lines.start.charCodeAt(0), LINE);
      else for (let byte = 0x20; byte <= 0x7e; byte++) if (byte !== DOLLAR) this.#begin(byte, LINE);
    }
    const longest = Math.max(longestText, ...frames.map(({ format }) => format.longest));
    this.#buffer = new Uint8Array(2 * longest + 256);
    this.#timesMs = new Float64Array(this.#buffer.length);
  }

  get dueMs(): number {
    return this.#dueMs;
  }

  take(bytes: Uint8Array, atMs: number, facts: ModuleFacts): readonly Command[] {
    const commands: Command[] = [];
    let next = 0;
    do {
      if (this.#to === this.#buffer.length) this.#compact();
      const count = Math.min(this.#buffer.length - this.#to, bytes.length - next);
      this.#buffer.set(bytes.subarray(next, next + count), this.#to);
      this.#timesMs.fill(atMs, this.#to, this.#to + count);
      this.#to += count;
      next += count;
      this.#listen(atMs, facts, commands);
      this.#tellNoise(commands);
    } while (next < bytes.length);
    return commands;
  }

  reset(): void {
    this.#from = 0;
    this.#to = 0;
    this.#scanned = 0;
    this.#noiseFrom = -1;
    this.#isNoisy = false;
    this.#toldTo = 0;
    this.#isOverlong = false;
    this.#dueMs = Infinity;
  }

  #begin(byte: number, what: number): void {
    this.#begins[byte] = (this.#begins[byte] as number) | what;
  }

  /** What is held goes to the buffer's start. */
  #compact(): void {
    const gone = this.#from;
    this.#buffer.copyWithin(0, gone, this.#to);
    this.#timesMs.copyWithin(0, gone, this.#to);
    this.#from = 0;
    this.#to -= gone;
    this.#scanned = Math.max(0, this.#scanned - gone);
    this.#toldTo = Math.max(0, this.#toldTo - gone);
  }

  #listen(atMs: number, facts: ModuleFacts, commands: Command[]): void {
    const begins = this.#begins;
    const buffer = this.#buffer;
    this.#dueMs = Infinity;
    while (this.#from < this.#to) {
      const byte = buffer[this.#from] as number;
      const what = begins[byte] as number;
      let used = NONE;
      if (what !== 0 && !(this.#isOverlong && what === LINE)) used = this.#element(what, atMs, facts, commands);
      if (used === WAIT) return;
      if (used > 0) {
        this.#from += used;
        continue;
      }
      if (this.#isOverlong && (byte < 0x20 || byte > 0x7e)) this.#isOverlong = false;
      this.#passBy(byte);
    }
  }

  /** A byte that begins nothing: noise, but for the line ends after a command and those that were told already. */
  #passBy(byte: number): void {
    const isTold = this.#from < this.#toldTo;
    const isLineEnd = (byte === CR || byte === LF) && !this.#isNoisy;
    if (!isTold && !isLineEnd) {
      if (this.#noiseFrom < 0) this.#noiseFrom = this.#from;
      this.#isNoisy = true;
    }
    this.#from++;
  }

  #tellNoise(commands: Command[]): void {
    if (this.#noiseFrom >= 0) commands.push(noise(this.#buffer.slice(this.#noiseFrom, this.#from)));
    this.#noiseFrom = -1;
  }

  /** What begins at the first byte held. @returns how many bytes it has, once it has been told; else {@link WAIT} */
  #element(what: number, atMs: number, facts: ModuleFacts, commands: Command[]): number {
    if (what & FRAME) {
      const used = this.#frame(atMs, facts, commands);
      if (used !== NONE) return used;
    }
    if (what & SENTENCE) return this.#text(SENTENCE, atMs, facts, commands);
    return what & LINE ? this.#text(LINE, atMs, facts, commands) : NONE;
  }

  #frame(atMs: number, facts: ModuleFacts, commands: Command[]): number {
    const definition = this.#definition;
    const dueMs = (this.#timesMs[this.#from] as number) + definition.frameTimeoutMs;
    for (const kind of definition.frames) {
      const size = sizeAt(kind.format, this.#buffer, this.#from, this.#to);
      if (size === NONE || (size === WAIT ? atMs : (this.#timesMs[this.#from + size - 1] as number)) >= dueMs) continue;
      if (size === WAIT) {
        this.#dueMs = dueMs;
        return WAIT;
      }
      const isWhole = isRight(kind.format, this.#buffer, this.#from, size);
      const body = bodyOf(kind.format, this.#buffer, this.#from, size);
      const bytes = this.#buffer.slice(this.#from, this.#from + size);
      this.#tellNoise(commands);
      commands.push(understandFrame(definition, kind, body, isWhole, bytes, facts));
      this.#isOverlong = false;
      this.#isNoisy = false;
      if (isWhole) return size;
      // It may be a false start, with a command in what seems to be its body.
      this.#toldTo = Math.max(this.#toldTo, this.#from + size);
      return 1;
    }
    return NONE;
  }

  /** A sentence or a line. */
  #text(what: number, atMs: number, facts: ModuleFacts, commands: Command[]): number {
    const { lines, longestText, textTimeoutMs } = this.#definition;
    const buffer = this.#buffer;
    const dueMs = (this.#timesMs[this.#from] as number) + textTimeoutMs;
    const start = what === SENTENCE ? '$' : (lines?.start ?? '');
    const end = what === SENTENCE ? 'either' : (lines?.end ?? 'either');
    const from = this.#from;
    const other = end === 'CR' ? LF : end === 'LF' ? CR : -1;
    let place = Math.max(from + (what === SENTENCE ? 1 : 0), this.#scanned);
    for (; place < this.#to; place++) {
      const byte = buffer[place] as number;
      if ((this.#timesMs[place] as number) >= dueMs) return this.#broken(place);
      if ((byte === CR || byte === LF) && byte !== other) break;
      if (byte === DOLLAR || ((byte < 0x20 || byte > 0x7e) && byte !== other)) return this.#broken(place);
      if (place - from >= longestText) {
        this.#isOverlong = true;
        return this.#broken(place);
      }
      const at = place - from;
      if (at < start.length && byte !== start.charCodeAt(at)) return NONE;
    }
    this.#scanned = place;
    if (place === this.#to) {
      if (atMs >= dueMs) return this.#broken(place);
      this.#dueMs = dueMs;
      return WAIT;
    }
    if (place - from < start.length) return this.#broken(place);
    const bytes = buffer.slice(from, place + 1);
    const text = latin1(buffer, from + start.length, place);
    this.#tellNoise(commands);
    const understand = what === SENTENCE ? understandSentence : understandLine;
    commands.push(understand(this.#definition, end === 'LF' ? text.replace(/\r$/, '') : text, bytes, facts));
    this.#isOverlong = false;
    this.#isNoisy = false;
    return place + 1 - from;
  }

  /** Text that ends before its end: noise, up to `place`. @returns how many bytes it has */
  #broken(place: number): number {
    if (place > this.#toldTo) {
      if (this.#noiseFrom < 0) this.#noiseFrom = Math.max(this.#from, this.#toldTo);
      this.#isNoisy = true;
    }
    return place - this.#from;
  }
}

function latin1(bytes: Uint8Array, from: number, to: number): string {
  let text = '';
  for (let i = from; i < to; i++) text += String.fromCharCode(bytes[i] as number);
  return text;
}
