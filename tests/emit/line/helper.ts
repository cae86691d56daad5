import type { ByteEffect, ByteFault } from '../../../src/emit/line/byte-faults.js';
import { Line, type LineOptions } from '../../../src/emit/line/line.js';
import { type Dropped, newSentence, segmentsOf, type Transmission } from '../../../src/emit/line/transmission.js';
import { Outlet } from '../../../src/run/outlet.js';

/** Far below a bit time at any speed, ms: what additions of doubles may be off by. */
export const ROUNDING_MS = 1e-5;

/** A sentence as a test gives it: the rig adds its epoch. */
export interface Given {
  readonly text: string;
  /** What is sent in its place; null: text and CR LF. */
  readonly altered: string | null;
  readonly faults: readonly string[];
}

/** A sentence of so many characters with CR LF. */
export function sentence(length: number, letter = 'A'): Given {
  return { text: `$${letter.repeat(length - 3)}`, altered: null, faults: [] };
}

export function fault(id: string, beginMs: number, endMs: number, effect: ByteEffect): ByteFault {
  return { id, kind: `kind-${id}`, beginMs, endMs, effect };
}

/** A line with a plain bookkeeping of what it gave. */
export class Rig {
  readonly line: Line;
  readonly sent: Transmission[] = [];
  readonly dropped: Dropped[] = [];
  /** Of each call of {@link advance}, until when and what it added. */
  readonly calls: { readonly untilMs: number; readonly sent: readonly Transmission[] }[] = [];

  constructor(options: Partial<LineOptions> = {}) {
    this.line = new Line({ baud: 9600, transmitBufferBytes: 2048, overflow: 'drop', ...options });
  }

  submit(readyMs: number, epoch: number, sentences: readonly Given[]): void {
    this.line.submit(
      readyMs,
      sentences.map(({ text, altered, faults }) => newSentence(epoch, text, altered, faults)),
    );
  }

  advance(untilMs: number, faults: readonly ByteFault[] = []): this {
    const sent: Transmission[] = [];
    this.line.advance(untilMs, faults, sent, this.dropped);
    this.sent.push(...sent);
    this.calls.push({ untilMs, sent });
    return this;
  }

  /** When each byte's stop bit ends, ms. */
  get stopBits(): { readonly atMs: number; readonly byte: number }[] {
    return this.sent.flatMap((transmission) =>
      segmentsOf(transmission).flatMap(({ startMs, bytes }) =>
        [...bytes].map((byte, k) => ({ atMs: startMs + (k + 1) * this.line.byteMs, byte })),
      ),
    );
  }

  /** All bytes, a character each. */
  get text(): string {
    return this.stopBits.map(({ byte }) => String.fromCharCode(byte)).join('');
  }

  outlet(): Outlet {
    const outlet = new Outlet();
    outlet.push(this.sent);
    return outlet;
  }
}
