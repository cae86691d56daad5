import { describe, expect, it } from 'vitest';
import { VERSION } from '../../src/index.js';
import {
  accountedBytes,
  type EpochLine,
  type JournalLine,
  linesOf,
  type Played,
  type PlayOptions,
  playRun,
  roof,
  sentBytes,
} from '../run/helper.js';

const ALL_FAULTS = [
  { at: '10 s', for: '60 s', fault: 'bad-checksum', with: { share: 0.5 } },
  { at: '12 s', for: '60 s', fault: 'cut-then-dollar', with: { share: 0.3 } },
  { at: '14 s', for: '60 s', fault: 'garbage-bytes', with: { share: 0.3, size: 70 } },
  { at: '15 s', for: '60 s', fault: 'garbage-bytes', with: { share: 0.3, size: 50 } },
  { at: '20.2 s', for: '1.3 s', fault: 'silence' },
  { at: '30 s', for: '10 s', fault: 'frozen-position' },
  { at: '41.7 s', fault: 'restart', with: { start: 'hot', off: '1.5 s' } },
  { at: '50 s', for: '6 s', fault: 'signal-loss' },
  { at: '52 s', for: '5 s', fault: 'signal-loss', with: { satellites: ['G05'], attenuation: '20 dB' } },
  { at: '60 s', for: '10 s', surroundings: 'tunnel' },
];

const LONG = { duration: '90 s', route: [{ hold: '90 s', at: [47.1, 8.2, '430 m'] }] };
const SATURATED = { baud: 1200, latency: '280 ms', jitter: '40 ms', 'transmit-buffer': 700 };

/** The runs that everything here is held against. */
const RUNS: [string, PlayOptions][] = [
  ['without a fault', { scenario: roof() }],
  ['with all faults', { scenario: roof({ ...LONG, timeline: ALL_FAULTS }) }],
  ['on a saturated line', { scenario: roof({ ...LONG, module: SATURATED }) }],
  ['on a saturated line that cuts', { scenario: roof({ ...LONG, module: { ...SATURATED, overflow: 'cut' } }) }],
  ['on a saturated line with all faults', { scenario: roof({ ...LONG, module: SATURATED, timeline: ALL_FAULTS }) }],
  ['stopped in the middle of a sentence', { scenario: roof(), untilMs: 20_233.3 }],
  ['stopped in an idle moment', { scenario: roof(), untilMs: 20_990 }],
  [
    'stopped on a saturated line with all faults',
    { scenario: roof({ ...LONG, module: SATURATED, timeline: ALL_FAULTS }), untilMs: 47_111 },
  ],
  ['stopped before anything', { scenario: roof(), untilMs: 0 }],
  ['at ten epochs a second', { scenario: roof({ module: 'single-band-115200-10hz', timeline: ALL_FAULTS }) }],
];

/** A journal's time: the start of what it tells of. */
function startOf(line: JournalLine): number {
  if (line.type === 'run') return -Infinity;
  if (line.type === 'end') return Infinity;
  return 'startMs' in line ? line.startMs : line.atMs;
}

describe.each(RUNS)('the journal %s', (_name, options) => {
  let first: Played | null = null;
  const play = async () => {
    first ??= await playRun(options);
    return first;
  };

  it('is lines of JSON in order of start time, from the run to the end', async () => {
    const { lines, journal } = await play();
    for (const line of lines) expect(line).not.toMatch(/[\r\n]/);
    expect(journal[0]?.type).toBe('run');
    expect(journal.at(-1)?.type).toBe('end');
    const starts = journal.map(startOf);
    const wrong = starts.findIndex((start, i) => i > 0 && start < (starts[i - 1] as number));
    expect(wrong < 0 ? null : [lines[wrong - 1], lines[wrong]]).toBeNull();
  });

  it('accounts for every byte of the stream', async () => {
    const { bytes, journal } = await play();
    expect(accountedBytes(journal).equals(bytes)).toBe(true);
  });

  it('counts itself right', async () => {
    const { bytes, journal } = await play();
    expect(linesOf(journal, 'end')).toEqual([
      {
        type: 'end',
        epochs: linesOf(journal, 'epoch').length,
        sentences: linesOf(journal, 'sentence').length,
        bytes: bytes.length,
        dropped: linesOf(journal, 'dropped').length,
      },
    ]);
  });

  it('is the same from run to run', async () => {
    const [a, b] = [await play(), await playRun(options)];
    expect(b.lines).toEqual(a.lines);
    expect(b.bytes.equals(a.bytes)).toBe(true);
  });

  it('has no two transmissions at once on the line, and none that takes no time', async () => {
    const { journal } = await play();
    /** Times are written to the microsecond. */
    const WRITTEN_MS = 2e-3;
    let freeMs = 0;
    for (const line of journal) {
      if (line.type !== 'sentence' && line.type !== 'bytes') continue;
      expect(line.startMs).toBeGreaterThanOrEqual(freeMs - WRITTEN_MS);
      expect(line.endMs).toBeGreaterThan(line.startMs);
      freeMs = line.endMs;
    }
  });

  it('names on every sentence whose bytes are not as meant the faults that did it, or a drop', async () => {
    const { journal } = await play();
    const dropped = new Set(linesOf(journal, 'dropped').map(({ text }) => text));
    for (const line of linesOf(journal, 'sentence')) {
      const isAsMeant = sentBytes(line).toString('latin1') === `${line.text}\r\n`;
      expect(line.sentBase64 === undefined).toBe(isAsMeant);
      if (!isAsMeant) expect(line.faults.length > 0 || dropped.has(line.text), line.text).toBe(true);
      if (isAsMeant) expect(line.faults).toEqual([]);
    }
  });
});

describe("the journal's keys", () => {
  it('are those of the contract', async () => {
    const { journal } = await playRun({ scenario: roof({ ...LONG, timeline: ALL_FAULTS }) });
    const keys = (line: object | undefined) => Object.keys(line ?? {});
    const all = (line: object | undefined, expected: string) =>
      expect(keys(line)).toEqual(expect.arrayContaining(expected.split(' ')));
    all(journal[0], 'type format version title seed module startUtc baud');
    expect(journal[0]).toMatchObject({
      type: 'run',
      format: 1,
      version: VERSION,
      title: 'On a roof',
      seed: 5,
      module: 'single-band-9600',
      startUtc: '2026-03-01T12:00:00.000Z',
      baud: 9600,
    });
    const epoch = linesOf(journal, 'epoch')[11] as EpochLine;
    all(epoch, 'type index atMs utc truth report satellites faults');
    all(epoch.truth, 'latitudeDeg longitudeDeg heightEllipsoidM altitudeMslM speedMps courseDeg climbMps');
    all(
      epoch.report,
      'fix quality mode status utc timeKnown dateKnown latitudeDeg longitudeDeg altitudeMslM speedMps courseDeg hdop vdop pdop used inView',
    );
    expect(epoch.utc).toBe('2026-03-01T12:00:11.000Z');
    expect(epoch.faults).toEqual(['1.1']);
    all(epoch.satellites[0], 'id azimuthDeg elevationDeg state orbit signals');
    all(linesOf(journal, 'sentence')[0], 'type epoch text startMs endMs faults');
    all(linesOf(journal, 'bytes')[0], 'type startMs endMs base64 cause');
    all(linesOf(journal, 'dropped')[0], 'type');
    all(linesOf(journal, 'fault')[0], 'type id kind phase atMs with');
    all(journal.at(-1), 'type epochs sentences bytes dropped');
  });

  it('say of each satellite above the horizon what it is, and of a hidden one no C/N0', async () => {
    const { journal } = await playRun({ scenario: roof({ ...LONG, timeline: ALL_FAULTS }) });
    const states = new Set<string>();
    for (const { satellites, report } of linesOf(journal, 'epoch')) {
      for (const { id, elevationDeg, azimuthDeg, state, orbit, signals } of satellites) {
        states.add(state);
        expect(id).toMatch(/^G\d\d$/);
        expect(elevationDeg).toBeGreaterThan(0);
        expect(azimuthDeg).toBeGreaterThanOrEqual(0);
        expect(azimuthDeg).toBeLessThan(360);
        expect(['none', 'almanac', 'ephemeris']).toContain(orbit);
        expect(signals.L1?.cn0DbHz === null).toBe(state === 'hidden');
      }
      expect(satellites.filter(({ state }) => state === 'used')).toHaveLength(report.used);
    }
    for (const state of states) expect(['hidden', 'searching', 'tracking', 'used']).toContain(state);
    expect(states.has('hidden') && states.has('used')).toBe(true);
  });
});
