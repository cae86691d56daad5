import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { temporaryFolder } from '../cli/process.js';
import { hasGcc, measureLateness, quantile } from './lateness.js';

const folder = temporaryFolder();

/** What the wire's contract allows, ms, for 99 bytes of 100. */
const LATE_MS = 10;
/** What the clock of a host that stamps whole ms hides, ms; the journal's microseconds for one that does not. */
const STAMP_MS = hasGcc ? 0.002 : 1;

it.skipIf(process.platform !== 'linux')(
  'a pty at 9600 baud for 20 s: no byte before its stop bit, 99 of 100 within 10 ms of it',
  { timeout: 60_000, retry: 2 },
  async () => {
    const scenario = join(folder, 'full-line.yaml');
    const route = 'route:\n  - { hold: 20 s, at: [52.375, 9.72, 84 m] }\n';
    writeFileSync(scenario, `lodestub: 1\nstart: 2026-02-02T08:00:00Z\nreceiver: { start: hot }\n${route}`);
    const lateMs = (await measureLateness(folder, [scenario], 9600)).map((timing) => timing.lateMs);
    // Nearly all of 19 epochs with some 500 bytes each.
    expect(lateMs.length).toBeGreaterThan(7000);
    expect(Math.min(...lateMs)).toBeGreaterThanOrEqual(-STAMP_MS);
    expect(quantile(lateMs, 0.99)).toBeLessThanOrEqual(LATE_MS);
  },
);
