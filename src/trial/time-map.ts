/** Points that are so near to a line are on it, ms. */
const STRAIGHT_MS = 0.1;

/** Which time by the machine's clock a simulated time was: both ms since tick 0. Between two known ones, linear. */
export class TimeMap {
  readonly #simulatedMs: number[] = [0];
  readonly #realMs: number[] = [0];

  /** Both clocks show this now. Neither goes back. */
  note(simulatedMs: number, realMs: number): void {
    const last = this.#simulatedMs.length - 1;
    const nowMs = this.#simulatedMs[last] as number;
    if (simulatedMs <= nowMs) {
      // Simulated time stands: what comes next begins at the later of two points.
      if (realMs - (this.#realMs[last] as number) < STRAIGHT_MS) return;
      if (this.#simulatedMs[last - 1] === nowMs) this.#realMs[last] = realMs;
      else this.#push(nowMs, realMs);
      return;
    }
    // On a straight line no point between is needed, and at a steady pace there are hundreds of thousands.
    if (last > 0 && Math.abs(this.#extended(simulatedMs) - realMs) < STRAIGHT_MS) {
      this.#simulatedMs[last] = simulatedMs;
      this.#realMs[last] = realMs;
      return;
    }
    this.#push(simulatedMs, realMs);
  }

  #push(simulatedMs: number, realMs: number): void {
    this.#simulatedMs.push(simulatedMs);
    this.#realMs.push(realMs);
  }

  /** Where the line through the last two points goes on to; no number where simulated time stood between them. */
  #extended(simulatedMs: number): number {
    const last = this.#simulatedMs.length - 1;
    const [from, to] = [this.#simulatedMs[last - 1] as number, this.#simulatedMs[last] as number];
    const [fromReal, toReal] = [this.#realMs[last - 1] as number, this.#realMs[last] as number];
    return fromReal + ((simulatedMs - from) / (to - from)) * (toReal - fromReal);
  }

  /** Beyond the last known time: that one's. */
  realMsOf(simulatedMs: number): number {
    const times = this.#simulatedMs;
    let low = 0;
    let high = times.length - 1;
    if (simulatedMs >= (times[high] as number)) return this.#realMs[high] as number;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((times[middle] as number) <= simulatedMs) low = middle;
      else high = middle;
    }
    const [from, to] = [times[low] as number, times[high] as number];
    const share = Math.max(0, simulatedMs - from) / (to - from);
    return (this.#realMs[low] as number) + share * ((this.#realMs[high] as number) - (this.#realMs[low] as number));
  }
}
