/** What a run takes its time from: simulated ms since tick 0. */
export interface Clock {
  /** Tick 0 is now. */
  start(): void;
  nowMs(): number;
  /** Resolves once `untilMs` has come, or earlier; whoever waits looks at the time again. */
  wait(untilMs: number): Promise<void>;
  /** Time goes on, if it stands: a run that is to end must come to its end. */
  resume(): void;
}

/** Shortest sleep, ms of real time: bytes that come within it go out together. */
const SHORTEST_MS = 2;
/** Longest sleep, ms: so that a signal to stop is seen soon. */
const LONGEST_MS = 100;

/**
 * The machine's monotonic clock, `pace` times as fast. It can stand still, go on at another pace, or go on up to a
 * time; it never jumps and never goes back.
 */
export class RealClock implements Clock {
  #pace: number;
  /** Simulated time at an instant of the machine's, both ms; time goes on from there, as far as to the limit. */
  #fromMs = 0;
  #originMs = 0;
  #limitMs = Infinity;
  #isStarted = false;
  #isPaused = false;
  #wake: (() => void) | null = null;

  constructor(pace: number) {
    this.#pace = pace;
  }

  get pace(): number {
    return this.#pace;
  }

  /** Tick 0 has been. */
  get isStarted(): boolean {
    return this.#isStarted;
  }

  /** Time stands still, by {@link pause} or at the end of {@link goOnUntil}. */
  get isPaused(): boolean {
    return this.#isPaused || this.nowMs() >= this.#limitMs;
  }

  start(): void {
    this.#isStarted = true;
    this.#originMs = performance.now();
  }

  nowMs(): number {
    if (this.#isPaused || !this.#isStarted) return this.#fromMs;
    return Math.min(this.#limitMs, this.#fromMs + (performance.now() - this.#originMs) * this.#pace);
  }

  /** Time stands still from here on. */
  pause(): void {
    this.#change(() => {
      this.#isPaused = true;
    });
  }

  resume(): void {
    this.goOnUntil(Infinity);
  }

  /** Time goes on, and stands still again at `limitMs`; a time that has passed leaves it where it is. */
  goOnUntil(limitMs: number): void {
    this.#change((nowMs) => {
      this.#isPaused = false;
      this.#limitMs = Math.max(nowMs, limitMs);
    });
  }

  /** Time goes on so many times as fast as the machine's, from here on. */
  setPace(pace: number): void {
    this.#change(() => {
      this.#pace = pace;
    });
  }

  wait(untilMs: number): Promise<void> {
    const leftMs = this.isPaused ? Infinity : (Math.min(untilMs, this.#limitMs) - this.nowMs()) / this.#pace;
    const sleepMs = Math.min(LONGEST_MS, Math.max(SHORTEST_MS, leftMs));
    return new Promise((resolve) => {
      const done = () => {
        clearTimeout(timer);
        this.#wake = null;
        resolve();
      };
      const timer = setTimeout(done, sleepMs);
      this.#wake = done;
    });
  }

  /** Changes how time goes on from now; whoever waits looks again. */
  #change(change: (nowMs: number) => void): void {
    const nowMs = this.nowMs();
    this.#fromMs = nowMs;
    this.#originMs = performance.now();
    change(nowMs);
    this.#wake?.();
  }
}
