import type { TrialSentence } from './evidence.js';

/** A sentence whose last byte is so far down the stream. */
interface Waiting {
  readonly endByte: number;
  readonly sentence: { handedMs?: number };
}

/**
 * Finds when the port was handed each sentence's last byte: by counting the bytes that go over the line, as the journal
 * has them, and those that are handed on, in whatever portions and however late. Both come in the order of the line;
 * either may be ahead. It holds for as long as the host gets just what is on the line.
 */
export class Handover {
  #lineBytes = 0;
  #handedBytes = 0;
  #waiting: Waiting[] = [];
  /** How much had been handed on by when; what is asked for no more is let go. */
  #handed: { readonly byte: number; readonly atMs: number }[] = [];

  /** So many bytes have gone over the line, and with the last of them a sentence, or none, was whole. */
  sent(bytes: number, sentence: (TrialSentence & { handedMs?: number }) | null): void {
    this.#lineBytes += bytes;
    if (sentence !== null) this.#waiting.push({ endByte: this.#lineBytes, sentence });
    this.#settle();
  }

  /** So many bytes are handed to the port, at a simulated time. */
  handed(atMs: number, bytes: number): void {
    this.#handedBytes += bytes;
    this.#handed.push({ byte: this.#handedBytes, atMs });
    this.#settle();
  }

  #settle(): void {
    if (this.#handedBytes === 0) return;
    let [done, past] = [0, 0];
    for (const { endByte, sentence } of this.#waiting) {
      if (endByte > this.#handedBytes) break;
      past = this.#skip(past, endByte);
      sentence.handedMs = (this.#handed[past] as { atMs: number }).atMs;
      done++;
    }
    if (done > 0) this.#waiting = this.#waiting.slice(done);
    // The next sentence ends behind what the journal has of the line by now.
    past = this.#skip(past, this.#waiting[0]?.endByte ?? this.#lineBytes);
    if (past > 0) this.#handed = this.#handed.slice(past);
  }

  /** The first note, from a place on, by which so many bytes were handed on. */
  #skip(from: number, byte: number): number {
    let place = from;
    while (place < this.#handed.length - 1 && (this.#handed[place] as { byte: number }).byte < byte) place++;
    return place;
  }
}
