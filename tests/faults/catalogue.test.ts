import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { FAILURE_BASE, FIELD_FAILURES, scenarioOfFailure } from '../../src/faults/catalogue.js';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { SHOWN_OF_FIX, SHOWN_OF_TIME } from './shown/fix-and-time.js';
import { SHOWN_OF_LINE } from './shown/line.js';
import { type HostActs, playSeen, type Seen } from './shown/seen.js';
import { SHOWN_OF_SATELLITES, SHOWN_OF_SENTENCES } from './shown/sentences.js';

const LIST = new URL('../../../shared/FIELD_FAILURES.md', import.meta.url);
const IDS = FIELD_FAILURES.map(({ id }) => id);

const SHOWN: typeof SHOWN_OF_LINE = {
  ...SHOWN_OF_FIX,
  ...SHOWN_OF_TIME,
  ...SHOWN_OF_LINE,
  ...SHOWN_OF_SENTENCES,
  ...SHOWN_OF_SATELLITES,
};

/** What any receiver does, the base's too. */
const PLAIN = ['read-split'];

const played = new Map<string, Promise<Seen>>();
/** Plays a scenario once. */
function play(yaml: string, host: HostActs = {}): Promise<Seen> {
  const key = JSON.stringify([yaml, host]);
  const known = played.get(key) ?? playSeen(yaml, host);
  // The base is looked at again and again; of the others each is looked at once.
  if (yaml === scenarioOfFailure(null)) played.set(key, known);
  return known;
}

describe.skipIf(!existsSync(LIST))('the list of what breaks host software (../shared/FIELD_FAILURES.md)', () => {
  /** The rows of its table: ids, rank, what the host sees, the harm. */
  const rows = existsSync(LIST)
    ? readFileSync(LIST, 'utf8')
        .split('\n')
        .filter((line) => /^\| [a-z0-9]/.test(line) && !line.startsWith('| id |'))
        .map((line) => line.split('|').map((cell) => cell.trim()))
        .flatMap(([, ids = '', rank = '']) =>
          ids.split(', ').map((id) => ({ id, rank: rank === '' ? null : Number(rank) })),
        )
    : [];

  it('is in the catalogue: every id, with its rank, and no other', () => {
    expect(rows.length).toBeGreaterThan(80);
    const byId = (a: { id: string }, b: { id: string }) => (a.id < b.id ? -1 : 1);
    expect(FIELD_FAILURES.map(({ id, rank }) => ({ id, rank })).sort(byId)).toEqual([...rows].sort(byId));
  });
});

describe('the catalogue of field failures', () => {
  it('has each id once, the worst first, and an assertion for each', () => {
    expect(new Set(IDS).size).toBe(IDS.length);
    const ranks = FIELD_FAILURES.map(({ rank }) => rank ?? Infinity);
    expect(ranks).toEqual([...ranks].sort((a, b) => a - b));
    expect(Object.keys(SHOWN).sort()).toEqual([...IDS].sort());
  });

  it.each(FIELD_FAILURES.map((failure) => [failure.id, failure] as const))(
    '%s names what brings it about',
    (_id, failure) => {
      const { by, of, lines, sees, harm, shown } = failure;
      for (const text of [sees, harm, shown]) expect(text).toMatch(/^\S.*[^.\s]$/);
      for (const line of lines) {
        expect(line).not.toContain('\n');
        // Valid as it stands.
        expect(Object.keys(parse(line) as object)).toHaveLength(1);
      }
      const scenario = parse(lines.join('\n')) as Record<string, unknown>;
      if (by === 'fault') {
        expect(FAULT_KINDS.map(({ name }) => name)).toContain(of);
        expect((scenario.timeline as { fault?: string }[]).map(({ fault }) => fault)).toContain(of);
      }
      if (by === 'setting') {
        let value: unknown = scenario;
        for (const key of of.split('.')) value = (value as Record<string, unknown> | undefined)?.[key];
        expect(value, of).toBeDefined();
      }
    },
  );

  it('uses every fault that stands for a row of its own, and names none that there is not', () => {
    const used = new Set(FIELD_FAILURES.filter(({ by }) => by === 'fault').map(({ of }) => of));
    const unused = FAULT_KINDS.map(({ name }) => name).filter((name) => !used.has(name));
    // Another way to what a row already shows: blank-fields and the settings, sentence-order and lost parts,
    // signal-loss and the tunnel, wrong-speed and a host at another speed.
    expect(unused).toEqual(['blank-fields', 'sentence-order', 'signal-loss', 'wrong-speed']);
  });

  it('has a base in which nothing happens', () => {
    expect(FAILURE_BASE.join('\n')).not.toMatch(/timeline|surroundings|sky/);
  });
});

describe('a host meets', () => {
  for (const failure of FIELD_FAILURES) {
    const { id, shown } = failure;
    const yaml = scenarioOfFailure(failure);
    it(`${id}: ${shown}`, async () => {
      const shows = SHOWN[id] as (typeof SHOWN_OF_LINE)[string];
      expect(await shows(await play(yaml), (host) => play(yaml, host))).toBe(true);
      const base = scenarioOfFailure(null);
      const without = await shows(await play(base), (host) => play(base, host));
      expect(without, 'without its lines').toBe(PLAIN.includes(id));
    });
  }
});
