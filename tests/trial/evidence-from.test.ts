import { describe, expect, it } from 'vitest';
import { EvidenceCollector } from '../../src/trial/evidence-from.js';
import { linesOf, playRun, roof } from '../run/helper.js';
import { evidenceOf, judgeOne } from './expectations/helper.js';
import { careful, mute } from './expectations/hosts.js';

const line = (record: object) => JSON.stringify(record);
const RUN = line({ type: 'run', startUtc: '2026-03-01T12:00:00.000Z', baud: 9600, epochMs: 1000 });
const RMC = '$GPRMC,120000.00,A,4706.0000,N,00812.0000,E,0.0,,010326,3.5,E,A,V*00';

/** Of one sentence at 1000 to 1080 ms, when its epoch was told, with other lines of the journal. */
function toldWith(
  before: readonly object[],
  after: readonly object[] = [],
  sentence: object = {},
  options: Parameters<EvidenceCollector['finish']>[0] = {},
) {
  const collector = new EvidenceCollector();
  collector.journal(RUN);
  const epoch = {
    type: 'epoch',
    index: 0,
    atMs: 800,
    utc: '2026-03-01T12:00:00.800Z',
    truth: null,
    report: {},
    faults: [],
  };
  for (const record of before) collector.journal(line(record));
  collector.journal(line(epoch));
  collector.journal(
    line({ type: 'sentence', epoch: 0, text: RMC, startMs: 1000, endMs: 1080, faults: [], ...sentence }),
  );
  for (const record of after) collector.journal(line(record));
  return collector.finish({ endMs: 3000, ...options });
}

describe('evidence from a journal', () => {
  it('has epochs, sentences and faults as they are on record', async () => {
    const timeline = [
      { at: '5 s', for: '4 s', fault: 'bad-checksum', with: { 'tell-tale': true, share: 1 } },
      { at: '12 s', surroundings: 'tunnel' },
    ];
    const { lines, journal } = await playRun({ scenario: roof({ duration: '20 s', timeline }) });
    const collector = new EvidenceCollector();
    for (const each of lines) collector.journal(each);
    const evidence = collector.finish();
    expect(evidence.startUtcMs).toBe(Date.UTC(2026, 2, 1, 12));
    expect(evidence.epochMs).toBe(1000);
    expect(evidence.sentences).toEqual(linesOf(journal, 'sentence'));
    expect(evidence.epochs.map(({ atMs, utcMs }) => utcMs - atMs)).toEqual(Array(20).fill(Date.UTC(2026, 2, 1, 12)));
    expect(evidence.faults.map(({ id, kind, beginMs, endMs }) => ({ id, kind, beginMs, endMs }))).toEqual([
      { id: '1.1', kind: 'bad-checksum', beginMs: 5_000, endMs: 9_000 },
      { id: '2.1', kind: 'tunnel', beginMs: 12_000, endMs: evidence.endMs },
    ]);
    // What is damaged has told nothing.
    const untold = evidence.epochs.filter(({ toldMs }) => toldMs === null).map(({ index }) => index);
    expect(untold).toEqual([5, 6, 7, 8]);
    for (const { index, toldMs } of evidence.epochs) {
      const ends = evidence.sentences
        .filter(({ epoch, text }) => epoch === index && /^\$..(RMC|GGA|GLL|ZDA)/.test(text))
        .map(({ endMs }) => endMs);
      if (toldMs !== null) expect(toldMs).toBe(Math.max(...ends));
    }
  });

  it('knows when the port was gone, and that nothing came then', async () => {
    const scenario = { duration: '40 s', timeline: [{ at: '20 s', for: '10 s', fault: 'port-loss' }] };
    const evidence = await evidenceOf(scenario, mute);
    expect(evidence.portGone).toEqual([{ beginMs: 20_000, endMs: 30_000 }]);
    const untold = evidence.epochs.filter(({ toldMs }) => toldMs === null).map(({ index }) => index);
    expect(untold).toEqual([20, 21, 22, 23, 24, 25, 26, 27, 28, 29]);
  });

  it('knows who had the port open, where the port tells', () => {
    const open = (atMs: number) => ({ type: 'host', atMs, event: 'open' });
    const close = (atMs: number) => ({ type: 'host', atMs, event: 'close' });
    const toldMs = (evidence: ReturnType<typeof toldWith>) => evidence.epochs[0]?.toldMs;
    expect(toldMs(toldWith([]))).toBe(1080);
    expect(toldMs(toldWith([open(900)]))).toBe(1080);
    expect(toldMs(toldWith([], [open(1_040)]))).toBeNull();
    expect(toldMs(toldWith([open(0), close(900)], [open(1_500)]))).toBeNull();
    expect(toldMs(toldWith([], [close(1_500)]))).toBe(1080);
    expect(toldWith([open(0), close(900)], [open(1_500)]).unheard).toEqual([{ beginMs: 900, endMs: 1_500 }]);
    expect(toldWith([], [close(1_500)]).unheard).toEqual([{ beginMs: 1_500, endMs: 3_000 }]);
    expect(toldWith([], [open(1_500)]).unheard).toEqual([{ beginMs: 0, endMs: 1_500 }]);
  });

  it('knows that a host which never opens a port that would tell has heard nothing', () => {
    const evidence = toldWith([], [], {}, { tellsOpening: true });
    expect(evidence.unheard).toEqual([{ beginMs: 0, endMs: 3_000 }]);
    expect(evidence.epochs[0]?.toldMs).toBeNull();
    const open = { type: 'host', atMs: 900, event: 'open' };
    expect(toldWith([open], [], {}, { tellsOpening: true }).epochs[0]?.toldMs).toBe(1080);
  });

  it('knows when the host had what a bridge holds back, and does not count that against it', async () => {
    const timeline = [{ at: '5 s', for: '20 s', fault: 'bunched-delivery', with: { hold: '5 s', packet: 4096 } }];
    const scenario = { duration: '40 s', timeline };
    const evidence = await evidenceOf(scenario, careful, { isHandedTold: true });
    const lates = evidence.epochs.map(({ atMs, toldMs }) => (toldMs as number) - atMs);
    // A bunch goes 5 s after its first byte.
    expect(Math.max(...lates)).toBeGreaterThan(4_500);
    expect(Math.max(...lates)).toBeLessThan(6_500);
    expect(lates[2]).toBeLessThan(1_000);
    const held = judgeOne({ latency: '100 ms', percentile: 100 }, evidence);
    expect(held.verdict, held.reason).toBe('passed');
    const byLine = judgeOne({ latency: '100 ms' }, await evidenceOf(scenario, careful));
    expect(byLine.verdict, byLine.reason).toBe('failed');
  });

  it('takes the line’s times again once a host at another speed has read other bytes', () => {
    const collector = new EvidenceCollector();
    collector.journal(RUN);
    const sentence = (startMs: number) =>
      line({ type: 'sentence', epoch: 0, text: RMC, startMs, endMs: startMs + 80, faults: [] });
    const speed = (atMs: number, baud: number) => line({ type: 'host', atMs, event: 'speed', baud });
    collector.journal(speed(0, 4800));
    collector.journal(speed(5, 9600));
    collector.journal(sentence(1_000));
    collector.handed(1_500, RMC.length + 2);
    collector.journal(sentence(2_000));
    collector.journal(speed(2_040, 4800));
    collector.handed(2_600, RMC.length + 2);
    collector.journal(speed(2_700, 9600));
    collector.journal(sentence(3_000));
    collector.handed(3_500, RMC.length + 2);
    const { sentences } = collector.finish({ endMs: 4_000 });
    expect(sentences.map(({ handedMs }) => handedMs)).toEqual([1_500, undefined, undefined]);
  });

  it('knows that a host at another speed hears nothing', () => {
    const speed = { type: 'host', atMs: 10, event: 'speed', baud: 4800 };
    expect(toldWith([speed]).epochs[0]?.toldMs).toBeNull();
    expect(toldWith([speed, { type: 'line', atMs: 500, baud: 4800 }]).epochs[0]?.toldMs).toBe(1080);
    expect(toldWith([speed, { ...speed, atMs: 700, baud: 9600 }]).unheard).toEqual([{ beginMs: 10, endMs: 700 }]);
  });

  it('counts a sentence as told that is whole among other bytes, and none that is damaged', () => {
    const sent = (bytes: string) => toldWith([], [], { sentBase64: btoa(bytes) }).epochs[0]?.toldMs;
    const good = '$GPRMC,,V,,,,,,,,,,N,V*29';
    expect(sent(`\x00\xff${good}\r\n`)).toBe(1080);
    expect(sent(`${good}\n`)).toBe(1080);
    expect(sent(`${good.replace('*29', '*2A')}\r\n`)).toBeNull();
    expect(sent(good)).toBeNull();
    expect(sent('$GPRMC,,V,,\r\n')).toBe(1080);
    expect(sent('')).toBeNull();
  });

  it('has what came from the host, in order', async () => {
    const evidence = await evidenceOf({ duration: '20 s' }, careful);
    expect(evidence.reports.map(({ index }) => index)).toEqual(evidence.reports.map((_, i) => i));
    expect(evidence.life.map(({ event, isByUs }) => [event, isByUs])).toEqual([
      ['started', false],
      ['ended', true],
    ]);
  });
});
