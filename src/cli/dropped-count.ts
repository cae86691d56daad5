import type { Dropped } from '../emit/line/transmission.js';

/** Why, of one and of several. */
const WHY: Readonly<Record<Dropped['reason'], readonly [string, string]>> = {
  'transmit-buffer': ['did not fit the transmit buffer', 'did not fit the transmit buffer'],
  power: ['was lost with the power', 'were lost with the power'],
  fault: ['was taken by faults', 'were taken by faults'],
};

/** Counts what a run has dropped, by the reason. */
export class DroppedCount {
  readonly #counts = new Map<Dropped['reason'], number>();
  #bytes = 0;

  add({ reason, bytes }: Pick<Dropped, 'reason' | 'bytes'>): void {
    this.#counts.set(reason, (this.#counts.get(reason) ?? 0) + 1);
    this.#bytes += bytes;
  }

  /** What was dropped and why, one line; null: nothing was. */
  summary(): string | null {
    const counts = [...this.#counts].sort((a, b) => b[1] - a[1]);
    if (counts.length === 0) return null;
    const count = counts.reduce((sum, [, each]) => sum + each, 0);
    const what = count === 1 ? '1 sentence or part of one' : `${count} sentences or parts of them`;
    const reasons = counts.map(([why, each]) => `${each} ${WHY[why][each === 1 ? 0 : 1]}`);
    return `dropped: ${what}, ${this.#bytes} bytes: ${reasons.join(', ')}`;
  }
}
