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

/** How often the lateness is measured: a machine that is busy with something else is late for reasons of its own. */
const ATTEMPTS = 3;

it.skipIf(process.platform !== 'linux')(
  'a pty at 9600 baud for 20 s: no byte before its stop bit, 99 of 100 within 10 ms of it',
  { timeout: 120_000 },
  async () => {
    const scenario = join(folder, 'full-line.yaml');
    const route = 'route:\n  - { hold: 20 s, at: [52.375, 9.72, 84 m] }\n';
    writeFileSync(scenario, `lodestub: 1\nstart: 2026-02-02T08:00:00Z\nreceiver: { start: hot }\n${route}`);
    let leastP99Ms = Infinity;
    for (let attempt = 0; attempt < ATTEMPTS && leastP99Ms > LATE_MS; attempt++) {
      const lateMs = (await measureLateness(folder, [scenario], 9600)).map((timing) => timing.lateMs);
      // Nearly all of 19 epochs with some 500 bytes each. None may be early, however busy the machine is.
      expect(lateMs.length).toBeGreaterThan(7000);
      expect(Math.min(...lateMs)).toBeGreaterThanOrEqual(-STAMP_MS);
      leastP99Ms = Math.min(leastP99Ms, quantile(lateMs, 0.99));
    }
    expect(leastP99Ms).toBeLessThanOrEqual(LATE_MS);
  },
);
