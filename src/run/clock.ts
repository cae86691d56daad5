/** What a run takes its time from: simulated ms since tick 0. */
export interface Clock {
  /** Tick 0 is now. */
  start(): void;
  nowMs(): number;
  /** Resolves once `untilMs` has come, or earlier; whoever waits looks at the time again. */
  wait(untilMs: number): Promise<void>;
}

/** Shortest sleep, ms of real time: bytes that come within it go out together. */
const SHORTEST_MS = 2;
/** Longest sleep, ms: so that a signal to stop is seen soon. */
const LONGEST_MS = 100;

/** The machine's monotonic clock, `pace` times as fast. */
export class RealClock implements Clock {
  #originMs = 0;

  constructor(private readonly pace: number) {}

  start(): void {
    this.#originMs = performance.now();
  }

  nowMs(): number {
    return (performance.now() - this.#originMs) * this.pace;
  }

  wait(untilMs: number): Promise<void> {
    const sleepMs = Math.min(LONGEST_MS, Math.max(SHORTEST_MS, (untilMs - this.nowMs()) / this.pace));
    return new Promise((resolve) => setTimeout(resolve, sleepMs));
  }
}
