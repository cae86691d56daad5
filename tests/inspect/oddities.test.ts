import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { FIELD_FAILURES, scenarioOfFailure } from '../../src/faults/catalogue.js';
import type { FieldFailure } from '../../src/faults/failures/failure.js';
import type { Oddity } from '../../src/inspect/inspect-report.js';
import { ODDITIES, UNSEEN_IN_A_STREAM } from '../../src/inspect/oddities/registry.js';
import { playSeen } from '../faults/shown/seen.js';
import { linesOf } from '../run/helper.js';
import { inspectDeliveries, inspectText } from './helper.js';

/** What the base shows by itself: its antenna stands still for the first 10 s, where it tells no course. */
const BASE_SHOWS: readonly string[] = ['blank-course'];
/** Needs a host that opens the port late, which the scenario alone has not. */
const OF_A_LATE_HOST = ['backlog-on-open'];

/** What shows an oddity that an epoch as a whole has. */
const SHOWN_BY: Readonly<Record<string, RegExp>> = {
  'lost-fix-stale': /RMC/,
  'estimated-fix': /RMC|GGA/,
  jump: /RMC|GGA/,
  'jam-spoof': /RMC|GGA/,
  'validity-conflict': /GGA/,
  'slow-first-fix': /RMC|GGA/,
  'frozen-position': /RMC|GGA/,
  tunnel: /RMC|GGA/,
  'static-drift': /RMC|GGA/,
  'dop-extremes': /GGA/,
  '2d-3d-flap': /GSA/,
  'cn0-collapse': /GSV/,
  dateline: /RMC|GGA/,
  'geoid-variants': /GGA/,
  'gsv-blank-cn0': /GSV/,
  'gsa-per-system': /GSA/,
  'gsv-per-signal': /GSV/,
  'same-id-two-systems': /GSV/,
  'used-exceeds-view': /GGA/,
  'gga-count-capped': /GGA/,
};

/** The ids of the oddities that are found where a scenario is played to a host that listens from the start. */
async function oddityIds(yaml: string): Promise<readonly string[]> {
  return (await odditiesOf(yaml)).map(({ id }) => id);
}

async function odditiesOf(yaml: string): Promise<readonly Oddity[]> {
  const seen = await playSeen(yaml);
  const start = Date.parse(String((parse(yaml) as { start: string }).start));
  const { baud } = linesOf(seen.journal, 'run')[0] as { baud: number };
  const deliveries = seen.deliveries.map(({ atMs, text }) => ({ text, atMs: start + atMs }));
  const report = inspectDeliveries(deliveries, { baud, isArrivalUtc: true, openedMs: start });
  return report.oddities;
}

const BASE = oddityIds(scenarioOfFailure(null));

describe('the oddities that are recognised', () => {
  it('are, with those that no stream shows, the list of field failures', () => {
    const known = [...ODDITIES.map(({ id }) => id), ...Object.keys(UNSEEN_IN_A_STREAM)].sort();
    expect(known).toEqual(FIELD_FAILURES.map(({ id }) => id).sort());
    for (const why of Object.values(UNSEEN_IN_A_STREAM)) expect(why).toMatch(/^\S.*[^.\s]$/);
  });

  it('are none in a plain run, but for what it shows by itself', async () => {
    expect([...(await BASE)].sort()).toEqual([...BASE_SHOWS].sort());
  });

  const played = ODDITIES.filter(({ id }) => !OF_A_LATE_HOST.includes(id));
  it.each(played.map(({ id }) => [id] as const))('%s, in its own scenario', async (id) => {
    const failure = FIELD_FAILURES.find((each) => each.id === id) as FieldFailure;
    const found = await odditiesOf(scenarioOfFailure(failure));
    const own = found.find((each) => each.id === id);
    expect(own?.count).toBeGreaterThan(0);
    expect(own?.examples[0]?.line).toBeGreaterThan(0);
    for (const { text } of own?.examples ?? []) expect(text.slice(3, 6)).toMatch(SHOWN_BY[id] ?? /./);
    // What is legal, or of the surroundings, does not bring false alarms with it.
    const bad = found.filter(({ severity }) => severity === 'bad').map((each) => each.id);
    if (own?.severity === 'remark') expect(bad).toEqual([]);
  });

  it('blank-course is not, where the course is told at rest too', async () => {
    const lines = ['receiver: { start: hot, course-min-speed: 0 m/s }'];
    expect(await oddityIds(scenarioOfFailure({ lines }))).not.toContain('blank-course');
  });

  it('backlog-on-open, where a host gets the first 20 s at once', async () => {
    const { text, deliveries } = await playSeen(scenarioOfFailure(null));
    const start = Date.parse('2026-03-01T12:00:00Z');
    const openedMs = start + 20_000;
    const late = deliveries.map((each) => ({ text: each.text, atMs: Math.max(openedMs, start + each.atMs) }));
    const ids = inspectDeliveries(late, { isArrivalUtc: true, openedMs }).oddities.map(({ id }) => id);
    expect(ids).toContain('backlog-on-open');
    const asLog = inspectText(text).oddities.map(({ id }) => id);
    expect(asLog).not.toContain('backlog-on-open');
  });
});
