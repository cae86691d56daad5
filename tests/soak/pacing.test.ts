import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { temporaryFolder } from '../cli/process.js';
import { type ByteTiming, hasGcc, measureLateness, quantile } from '../end-to-end/lateness.js';

const folder = temporaryFolder();
/** How long, min: 3 or more tell a drift. */
const MINUTES = Number(process.env.LODESTUB_SOAK_MIN ?? 10);

/** What the wire's contract allows, ms, for 99 bytes of 100. */
const LATE_MS = 10;
/** What the clock of a host that stamps whole ms hides, ms; the journal's microseconds for one that does not. */
const STAMP_MS = hasGcc ? 0.002 : 1;
/** What a median of a minute may wander by itself, ms; a clock that is off by 2 parts in a million drifts as much. */
const DRIFT_MS = 1;

function median(timings: readonly ByteTiming[]): number {
  return quantile(
    timings.map(({ lateMs }) => lateMs),
    0.5,
  );
}

it.skipIf(process.platform !== 'linux')(
  `a pty at 9600 baud for ${MINUTES} min: never early, on time, no drift`,
  async () => {
    const scenario = join(folder, 'soak.yaml');
    const hold = `route:\n  - { hold: ${MINUTES} min, at: [52.375, 9.72, 84 m] }\n`;
    writeFileSync(scenario, `lodestub: 1\nstart: 2026-02-02T08:00:00Z\nreceiver: { start: hot }\n${hold}`);
    const timings = await measureLateness(folder, [scenario], 9600);
    const lateMs = timings.map((timing) => timing.lateMs);
    const driftMs =
      median(timings.filter(({ dueMs }) => dueMs > (MINUTES - 1) * 60_000)) -
      median(timings.filter(({ dueMs }) => dueMs < 60_000));
    const figures = {
      bytes: lateMs.length,
      earliestMs: quantile(lateMs, 0),
      medianMs: quantile(lateMs, 0.5),
      p99Ms: quantile(lateMs, 0.99),
      driftMs,
    };
    console.log(JSON.stringify(figures));
    expect(lateMs.length).toBeGreaterThan(MINUTES * 60 * 300);
    expect(figures.earliestMs).toBeGreaterThanOrEqual(-STAMP_MS);
    expect(figures.p99Ms).toBeLessThanOrEqual(LATE_MS);
    expect(Math.abs(driftMs)).toBeLessThan(DRIFT_MS);
  },
);
