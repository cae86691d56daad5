import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import { repeatOf } from '../../src/control/repeat.js';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { readLiveOffer } from '../../src/scenario/live-offer.js';
import { readScenario } from '../../src/scenario/read.js';
import type { JournalRecord } from '../../src/truth/journal-record.js';
import { Controlled, scenarioOf } from './helper.js';

const folder = mkdtempSync(join(tmpdir(), 'lodestub-repeat-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const OUT = join(folder, 'again.yaml');

const recordsOf = ({ lines }: Controlled) => lines.map((line) => JSON.parse(line) as JournalRecord);

/** Plays what repeats a run. */
async function again(first: Controlled): Promise<Controlled & { text: string }> {
  const text = await repeatOf(recordsOf(first), OUT);
  const second = new Controlled(await readScenario(text, { file: OUT, baseFolder: folder }));
  second.finish();
  return Object.assign(second, { text });
}

/** The journal without what a hand or a host has done, which the timeline does now, and without the text played. */
const deedless = ({ lines }: Controlled) =>
  lines.slice(1).filter((line) => !/^\{"type":"control"|^\{"type":"host","atMs":[\d.]+,"event":"bytes"/.test(line));

const NAMES = FAULT_KINDS.map(({ name }) => name);

/** Something that is done to a run. */
type Deed =
  | { readonly do: 'wait'; readonly ms: number }
  | { readonly do: 'pause' }
  | { readonly do: 'resume' }
  | { readonly do: 'step' }
  | { readonly do: 'clear' }
  | { readonly do: 'start'; readonly fault: string; readonly forMs: number | null }
  | { readonly do: 'surround'; readonly word: string; readonly forMs: number | null }
  | { readonly do: 'hear'; readonly text: string };

const lasts = fc.option(fc.integer({ min: 1, max: 4000 }));
const DEED: fc.Arbitrary<Deed> = fc.oneof(
  { weight: 4, arbitrary: fc.record({ do: fc.constant('wait'), ms: fc.integer({ min: 0, max: 2500 }) }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constantFrom('pause', 'resume', 'step', 'clear') }) },
  {
    weight: 4,
    arbitrary: fc.record({ do: fc.constant('start'), fault: fc.constantFrom(...NAMES), forMs: lasts }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      do: fc.constant('surround'),
      word: fc.constantFrom('tunnel', 'forest', 'indoors', 'street-canyon', 'open'),
      forMs: lasts,
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      do: fc.constant('hear'),
      text: fc.constantFrom('$GPGPQ,GGA*27\r\n', '$GPGPQ,R', 'MC*3B\r\n', '\xff\x00', '\r\n'),
    }),
  },
) as fc.Arbitrary<Deed>;

function perform(controlled: Controlled, deed: Deed): void {
  const { live } = controlled;
  if (deed.do === 'wait') controlled.pass(deed.ms);
  else if (deed.do === 'pause') live.pause();
  else if (deed.do === 'resume') live.resume();
  else if (deed.do === 'step') live.step();
  else if (deed.do === 'hear') controlled.hear(deed.text);
  else if (deed.do === 'clear') {
    const first = live.inForce[0];
    if (first !== undefined) live.clear(first.id);
  } else {
    const time = deed.forMs === null ? {} : { for: `${deed.forMs} ms` };
    const what = deed.do === 'start' ? { fault: deed.fault } : { surroundings: deed.word };
    live.start(readLiveOffer({ ...what, ...time }, 'test'));
  }
}

/** How the run ends: as planned, with the sentence on the line, or in the middle of it. */
const ENDS = fc.constantFrom('finish', 'stop', 'abort');

/** A timeline of the run's own, which hands clear too. */
const TIMELINE = [
  { at: '2 s', for: '9 s', fault: 'bad-checksum', with: { share: 0.5 } },
  { at: '3 s', id: 'dark', surroundings: 'forest' },
  { at: '4 s', chance: '20 /min', for: '500 ms', fault: 'garbage-bytes' },
];

describe('a repeat gives the same bytes and the same journal', () => {
  it.each(NAMES)('%s, cleared by hand', async (fault) => {
    const first = new Controlled(await scenarioOf());
    first.pass(6133);
    const { id } = first.live.start(readLiveOffer({ fault }, 'test'));
    first.pass(3200);
    if (first.live.inForce.some((each) => each.id === id)) first.live.clear(id);
    first.finish();
    const second = await again(first);
    expect(second.bytes).toBe(first.bytes);
    expect(deedless(second)).toEqual(deedless(first));
  });

  it('whatever is done, in whatever order, also several things while time stands still', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(DEED, { minLength: 1, maxLength: 14 }), ENDS, async (deeds, end) => {
        const first = new Controlled(await scenarioOf({ timeline: TIMELINE, duration: '14 s' }));
        for (const deed of deeds) {
          try {
            perform(first, deed);
          } catch (error) {
            // The run is over, or what is to be cleared has just ended.
            if (!(error instanceof LodestubError)) throw error;
          }
        }
        if (end === 'abort' && !first.run.isOver) first.run.abort();
        if (end === 'stop') first.stop();
        else first.finish();
        const second = await again(first);
        expect(second.bytes).toBe(first.bytes);
        // What was cut in the middle bears the names of faults that came later within the tick.
        if (end !== 'abort') expect(deedless(second)).toEqual(deedless(first));
      }),
      { numRuns: 60 },
    );
  });

  it('of a repeat, with more done by hand: names go on where they ended', async () => {
    const first = new Controlled(await scenarioOf());
    first.pass(3000);
    first.live.startOffer('cut-then-dollar');
    first.finish();
    const text = await repeatOf(recordsOf(first), OUT);
    const second = new Controlled(await readScenario(text, { file: OUT, baseFolder: folder }));
    second.pass(7000);
    expect(second.live.startOffer('cut-then-dollar').id).toBe('live-2.1');
    second.finish();
    const third = await again(second);
    expect(third.bytes).toBe(second.bytes);
    expect(second.bytes).not.toBe(first.bytes);
  });

  it('of a module that starts anew when a host opens it', async () => {
    const first = new Controlled(await scenarioOf({ module: { 'on-open': 'hot' } }));
    first.pass(4000);
    first.run.noteHost({ event: 'open' }, first.clock.nowMs());
    first.finish();
    const second = await again(first);
    expect(first.lines.join('\n')).toContain('"kind":"restart"');
    expect(second.bytes).toBe(first.bytes);
  });
});

describe('the scenario that repeats a run', () => {
  it('keeps comments, and has seed, start, length and changes as they were played', async () => {
    const text = [
      '# What it is for.',
      'lodestub: 1',
      'title: Short # one line',
      'start: now # whenever',
      'route:',
      '  # Where.',
      '  - { hold: 20 s, at: [47.1, 8.2] }',
      '',
    ].join('\n');
    const overrides = { seed: 77, durationS: 12.5, baud: 19_200, module: 'older-4800' };
    const first = new Controlled(await readScenario(text, { file: 'short.yaml', baseFolder: '', overrides }));
    first.finish();
    const second = await again(first);
    expect(second.bytes).toBe(first.bytes);
    for (const kept of ['# What it is for.', 'Short # one line', '# whenever', '  # Where.', 'seed: 77']) {
      expect(second.text).toContain(kept);
    }
    expect(second.text).toContain('start: 2026-03-01T12:00:00Z');
    expect(second.scenario.module.baud).toBe(19_200);
    expect(second.text).not.toContain('timeline');
  });

  it('finds its files from its own place', async () => {
    const [deep, elsewhere] = [join(folder, 'deep', 'er'), join(folder, 'elsewhere')];
    for (const each of [deep, elsewhere]) mkdirSync(each, { recursive: true });
    const points = [0, 1, 2].map((k) => `<trkpt lat="47.${k}" lon="8"><time>2026-01-01T00:00:1${k}Z</time></trkpt>`);
    writeFileSync(join(folder, 'deep', 'a.gpx'), `<gpx><trk><trkseg>${points.join('')}</trkseg></trk></gpx>`);
    writeFileSync(join(deep, 'mine.yaml'), 'lodestub-module: 1\nbaud: 38400\nsentences: { RMC: 1 }\n');
    const text = [
      'lodestub: 1',
      'module: ./mine.yaml',
      'route:',
      '  - repeat: 1',
      '    route: [{ track: ../a.gpx, speed: 900 km/h }]',
      '  - { hold: 3 s }',
      '',
    ].join('\n');
    const file = join(deep, 'track.yaml');
    writeFileSync(file, text);
    const first = new Controlled(await readScenario(text, { file, baseFolder: deep, overrides: { durationS: 5 } }));
    first.finish();
    const out = join(elsewhere, 'again.yaml');
    const made = await repeatOf(recordsOf(first), out);
    expect(made).toContain('track: ../deep/a.gpx');
    expect(made).toContain('module: ../deep/er/mine.yaml');
    const second = new Controlled(await readScenario(made, { file: out, baseFolder: elsewhere }));
    second.finish();
    expect(second.bytes).toBe(first.bytes);
  });

  it('needs a journal that has the text of what was played', async () => {
    const first = new Controlled(await scenarioOf());
    first.finish();
    const [run, ...rest] = recordsOf(first);
    const bare = { ...run, scenario: { file: null, text: '', changes: {} } } as JournalRecord;
    await expect(repeatOf([bare, ...rest], OUT)).rejects.toMatchObject({ code: 'journal.no-scenario' });
  });

  it('repeats a shipped scenario', async () => {
    const file = join(import.meta.dirname, '../../scenarios/drive.yaml');
    const options = { file, baseFolder: '', overrides: { durationS: 3 } };
    const first = new Controlled(await readScenario(readFileSync(file, 'utf8'), options));
    first.finish();
    expect((await again(first)).bytes).toBe(first.bytes);
  });
});
