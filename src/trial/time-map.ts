/** Which time by the machine's clock a simulated time was: both ms since tick 0. Between two known ones, linear. */
export class TimeMap {
  readonly #simulatedMs: number[] = [0];
  readonly #realMs: number[] = [0];

  /** Both clocks show this now. Neither goes back. */
  note(simulatedMs: number, realMs: number): void {
    const last = this.#simulatedMs.length - 1;
    if (simulatedMs <= (this.#simulatedMs[last] as number)) {
      // Simulated time stands: what comes next begins here.
      this.#realMs[last] = Math.max(this.#realMs[last] as number, realMs);
      return;
    }
    this.#simulatedMs.push(simulatedMs);
    this.#realMs.push(realMs);
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
