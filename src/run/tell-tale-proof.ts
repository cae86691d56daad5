import { segmentsOf, type TellTale, type Transmission } from '../emit/line/transmission.js';

/** So many characters without a line end belong to no sentence any more. */
const LONGEST_LINE = 4096;

/** What has not gone on by then is never held to be proof, ms. */
const LONGEST_WAIT_MS = 120_000;

/** Bytes carry a place if they tell it so nearly, deg: decimals of the minutes may be none, and end in other digits. */
const NEAR_DEG = 0.02;

interface Open {
  readonly sent: Transmission;
  /** Where its bytes stand in the line. */
  readonly from: number;
  readonly to: number;
}

/**
 * Decides which tell-tales are proof, from the bytes as they have gone out: those whose place can be read there, in
 * bytes of which no host that looks at the checksum makes a sentence. What comes later on the line may mend what a
 * fault has done: a flipped bit, or bytes behind a sentence that was cut. So a sentence whose line has not ended waits
 * until it has.
 */
export class TellTaleProof {
  /** What has gone out since the last line end, a character a byte; more where something waits. */
  #line = '';
  #open: Open[] = [];
  /** What is on the line, and may yet be changed. */
  #last: Transmission | null = null;

  /** The next item has been put on the line: what was there before it is as it is. */
  see(sent: Transmission): void {
    this.#take();
    this.#last = sent;
  }

  /** All has gone out up to `nowMs`. */
  settle(nowMs: number): void {
    const last = this.#last;
    if (last !== null && Math.max(last.endMs, last.freeMs) <= nowMs) this.#take();
    // What is on the line may yet tell.
    if (this.#last !== null) return;
    while (this.#open[0] !== undefined && this.#open[0].sent.endMs + LONGEST_WAIT_MS <= nowMs) {
      (this.#open.shift() as Open).sent.isProof = false;
    }
  }

  /** Nothing more comes. */
  finish(): void {
    this.#take();
    for (const open of this.#open) this.#decide(open, this.#line.length);
    this.#open = [];
  }

  /** Takes in what was on the line. */
  #take(): void {
    const sent = this.#last;
    this.#last = null;
    if (sent === null) return;
    if (this.#open[0] !== undefined && this.#open[0].sent.endMs + LONGEST_WAIT_MS <= sent.startMs) {
      this.settle(sent.startMs);
    }
    // Text with CR LF, after a line end: nothing is left of it.
    if (sent.segments === null && this.#line === '') return;
    const from = this.#line.length;
    for (const { bytes } of segmentsOf(sent)) for (const byte of bytes) this.#line += String.fromCharCode(byte);
    if (sent.isProof === null) this.#open.push({ sent, from, to: this.#line.length });
    this.#open = this.#open.filter((open) => {
      const end = endOf(this.#line, open);
      if (end < 0 && this.#line.length - open.from < LONGEST_LINE) return true;
      this.#decide(open, end < 0 ? this.#line.length : end);
      return false;
    });
    if (this.#open.length === 0) this.#line = lastLineOf(this.#line);
  }

  #decide({ sent, from, to }: Open, end: number): void {
    const place = sent.tellTale;
    const line = this.#line;
    sent.isProof = place !== null && carries(line.slice(from, to), place) && !isRight(line.slice(0, end), from, to);
  }
}

/** Where the line of an item ends: CR or LF, or a `$` behind a checksum; -1: it has not. */
function endOf(line: string, { from, to }: Open): number {
  const ending = line.slice(Math.max(from, to - 1)).search(/[\r\n]/);
  const star = line.indexOf('*', from);
  const dollar = star < 0 ? -1 : line.indexOf('$', Math.max(to, star + 3));
  const lineEnd = ending < 0 ? -1 : ending + Math.max(from, to - 1);
  if (lineEnd < 0 || dollar < 0) return Math.max(lineEnd, dollar);
  return Math.min(lineEnd, dollar);
}

/** What may belong to a sentence that goes on: from the last line end on, or from a `$` behind a checksum. */
function lastLineOf(text: string): string {
  const line = text.slice(Math.max(text.lastIndexOf('\r'), text.lastIndexOf('\n')) + 1);
  const star = line.lastIndexOf('*');
  const dollar = star < 0 ? -1 : line.indexOf('$', star + 3);
  return (dollar < 0 ? line : line.slice(dollar)).slice(-LONGEST_LINE);
}

/**
 * Whether some `$…*hh` of which a part lies between `from` and `to` has a right checksum, at whichever `$` a host
 * begins and whichever `*` it takes.
 */
function isRight(text: string, from: number, to: number): boolean {
  for (let start = text.indexOf('$'); start >= 0 && start < to; start = text.indexOf('$', start + 1)) {
    let sum = 0;
    for (let i = start + 1; i < text.length; i++) {
      const character = text[i] as string;
      if (character === '\r' || character === '\n') break;
      if (character === '*' && i + 3 > from && sum === checksumAt(text, i + 1)) return true;
      sum ^= character.charCodeAt(0);
    }
  }
  return false;
}

function checksumAt(text: string, place: number): number {
  const digits = text.slice(place, place + 2);
  return /^[0-9A-Fa-f]{2}$/.test(digits) ? Number.parseInt(digits, 16) : Number.NaN;
}

/** Latitude and longitude as a sentence has them. */
const PLACE = /(\d+(?:\.\d*)?),([NS]),(\d+(?:\.\d*)?),([EW])/g;

/** Whether bytes tell a place. */
function carries(text: string, { latitudeDeg, longitudeDeg }: TellTale): boolean {
  for (const [, latitude = '', northSouth, longitude = '', eastWest] of text.matchAll(PLACE)) {
    const northDeg = angleDeg(latitude) * (northSouth === 'S' ? -1 : 1) - latitudeDeg;
    const eastDeg = Math.abs(angleDeg(longitude) * (eastWest === 'W' ? -1 : 1) - longitudeDeg);
    // 180 E is 180 W.
    if (Math.abs(northDeg) < NEAR_DEG && Math.min(eastDeg, 360 - eastDeg) < NEAR_DEG) return true;
  }
  return false;
}

/** Degrees and minutes, `ddmm.mm`, as degrees. */
function angleDeg(text: string): number {
  const value = Number(text);
  return Math.floor(value / 100) + (value % 100) / 60;
}
