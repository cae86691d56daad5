import { describe, expect, it } from 'vitest';
import type { LifeEvent } from '../../../src/trial/evidence.js';
import { epochAt, madeEvidence, START_UTC_MS, saidAt } from '../made.js';
import { evidenceOf, judgeOne } from './helper.js';
import { naive, withMistake } from './hosts.js';

const life = (event: 'started' | 'ended', atMs: number, isByUs = false): LifeEvent => ({
  ...{ event, atMs, code: event === 'ended' ? 1 : null, signal: null, isByUs },
});
const FAULTS = [{ id: '1.1', kind: 'silence', beginMs: 60_000, endMs: 70_000, with: {} }];

describe('a host that has ended', () => {
  const dead = madeEvidence({ faults: FAULTS, life: [life('started', 0), life('ended', 30_000)] }, 100);

  it.each([{ from: '60 s' }, { during: 'silence' }, { during: '1.1', from: '62 s' }])(
    'before a window, does not run in it: %j',
    (window) => {
      expect(judgeOne({ running: true, ...window }, dead)).toMatchObject({
        ...{ verdict: 'failed', reason: 'the host ended with exit code 1 after 30 s' },
      });
    },
  );

  it('and was started again before the window, runs in it', () => {
    const again = { ...dead, life: [...dead.life, life('started', 31_000), life('ended', 100_000, true)] };
    expect(judgeOne({ running: true, from: '60 s' }, again).verdict).toBe('passed');
    expect(judgeOne({ running: true, to: '20 s' }, dead).verdict).toBe('passed');
  });

  it('and is not started again fails, however many restarts are allowed', () => {
    for (const window of [{}, { from: '60 s' }, { to: '60 s' }]) {
      expect(judgeOne({ restarts: 5, ...window }, dead)).toMatchObject({
        ...{ verdict: 'failed', reason: 'the host ended with exit code 1 after 30 s, and was not started again' },
      });
    }
    expect(judgeOne({ restarts: 5, to: '20 s' }, dead).verdict).toBe('passed');
  });

  it('shortly before the case’s end may be on its way back', () => {
    const late = madeEvidence({ life: [life('started', 0), life('ended', 8_000)], restartAfterMs: 5_000 });
    expect(judgeOne({ restarts: 1 }, late).verdict).toBe('passed');
    expect(judgeOne({ restarts: 1 }, { ...late, restartAfterMs: 500 }).verdict).toBe('failed');
    expect(judgeOne({ restarts: 1 }, { ...late, restartAfterMs: null }).verdict).toBe('failed');
    // By the machine's clock: at a tenth of the pace these two seconds were twenty.
    expect(judgeOne({ restarts: 1 }, { ...late, realMsOf: (atMs) => atMs * 10 }).verdict).toBe('failed');
  });
});

describe('a host that falls silent while the module goes on', () => {
  const right = { hasFix: true, latitudeDeg: 47, longitudeDeg: 8, speedMps: 0, used: 8 };
  const upTo = (lastS: number, everyS = 1, more = {}) => {
    const told = Array.from({ length: Math.floor(lastS / everyS) + 1 }, (_, i) => i * everyS);
    const reports = told.map((s, i) => saidAt(s * 1000 + 400, { ...right, utcMs: START_UTC_MS + s * 1000 }, i));
    return madeEvidence({ reports, ...more }, 60);
  };

  it.each([{ position: '5 m' }, { speed: '1 m/s' }, { time: '2 s' }, { 'satellites-used': 0 }])(
    'is not right for having been right before: %j',
    (expectation) => {
      expect(judgeOne(expectation, upTo(59)).verdict).toBe('passed');
      expect(judgeOne(expectation, upTo(45))).toMatchObject({
        ...{ verdict: 'untested', reason: expect.stringMatching(/; but nothing of the last 1\d(\.\d)? s though /) },
      });
      expect(judgeOne(expectation, upTo(0)).verdict).toBe('untested');
      // Before that it was right.
      expect(judgeOne({ ...expectation, to: '40 s' }, upTo(45)).verdict).toBe('passed');
    },
  );

  it('may report seldom, and owes nothing where the module has no fix', () => {
    expect(judgeOne({ position: '5 m' }, upTo(48, 8)).verdict).toBe('passed');
    const epochs = upTo(59).epochs.map((each) => (each.index <= 45 ? each : epochAt(each.index, {}, { status: 'V' })));
    expect(judgeOne({ position: '5 m' }, upTo(45, 1, { epochs })).verdict).toBe('passed');
  });
});

describe('a host that goes on with an old epoch', () => {
  const told = (epoch: number, arrivedMs: number, index: number) =>
    saidAt(arrivedMs, { utcMs: START_UTC_MS + epoch * 1000 }, index);

  it('fails the latency, whatever it did before', () => {
    const reports = Array.from({ length: 600 }, (_, i) => told(Math.min(i, 10), i * 1000 + 400, i));
    const evidence = madeEvidence({ reports }, 600);
    expect(judgeOne({ latency: '500 ms' }, evidence)).toMatchObject({
      ...{ verdict: 'failed', reason: expect.stringMatching(/, 11 of 600 epochs, 588 reports of an older one$/) },
    });
    expect(judgeOne({ latency: '500 ms', from: '60 s' }, evidence).verdict).toBe('failed');
  });

  it('is told how few of the epochs it reported', () => {
    const evidence = madeEvidence({ reports: [told(50, 50_400, 0)] }, 100);
    expect(judgeOne({ latency: '500 ms' }, evidence).reason).toMatch(/, 1 of 100 epochs$/);
  });

  it('does not fail for having said the last one until it had made out the next', () => {
    // Ten times a second the newest that it has, which takes it 150 ms to make out: told 300 ms after each second.
    const reports = Array.from({ length: 100 }, (_, i) => {
      const atMs = i * 100;
      return told(Math.floor((atMs - 450) / 1000), atMs, i);
    }).filter(({ arrivedMs }) => arrivedMs >= 450);
    const { verdict, reason } = judgeOne({ latency: '300 ms' }, madeEvidence({ reports }));
    expect(verdict, reason).toBe('passed');
    expect(reason).toMatch(/within 200 ms .*, 10 of 10 epochs$/);
  });

  it('is not let off by further reports of epochs that were late already', () => {
    // Four sentences an epoch, each 1.2 s after it was told.
    const reports = Array.from({ length: 40 }, (_, i) => told(i >> 2, (i >> 2) * 1000 + 1_500, i));
    expect(judgeOne({ latency: '500 ms', percentile: 50 }, madeEvidence({ reports })).verdict).toBe('failed');
  });
});

describe('a host that tells only times of day', () => {
  const epochs = madeEvidence().epochs.map(({ index }) =>
    epochAt(index, {}, { utc: `1980-01-06T00:00:0${index}.000Z`, dateKnown: true }),
  );
  const saying = (isDateTold: boolean) =>
    madeEvidence({ epochs, reports: [saidAt(5_400, { utcMs: START_UTC_MS + 5_000, isDateTold })] });

  it('leaves open what it makes of a default date', () => {
    expect(judgeOne({ 'default-date': 'refused' }, saying(false))).toMatchObject({
      ...{ verdict: 'untested', reason: 'no report told a date' },
    });
    expect(judgeOne({ 'default-date': 'refused' }, saying(true)).verdict).toBe('passed');
  });
});

describe('a host that reports no place', () => {
  it('leaves open what it makes of damaged sentences', async () => {
    const timeline = [{ at: '20 s', for: '15 s', fault: 'bad-checksum', with: { share: 0.5, 'tell-tale': true } }];
    const host = withMistake(() => ({ hasFix: false }));
    expect(judgeOne({ 'damaged-sentence': 'refused' }, await evidenceOf({ timeline }, host))).toMatchObject({
      ...{ verdict: 'untested', reason: 'no report told a place' },
    });
  });
});

describe('damaged sentences', () => {
  /** A walk over all reports for each of them would take minutes. */
  const MANY = 20_000;
  const SOON_MS = 5_000;

  it('are held against a day of reports in a moment, each against those that came after it', () => {
    const sentences = Array.from({ length: MANY }, (_, i) => ({
      ...{ type: 'sentence' as const, epoch: 0, text: '$GPRMC', startMs: i * 10, endMs: i * 10 + 5, faults: [] },
      tellTale: { latitudeDeg: -70 + (i * 60) / MANY, longitudeDeg: -100 },
    }));
    const reports = Array.from({ length: MANY }, (_, i) =>
      saidAt(i * 10, { hasFix: true, latitudeDeg: 47, longitudeDeg: 8 }, i),
    );
    const evidence = madeEvidence({ sentences, reports }, MANY / 100);
    const from = performance.now();
    expect(judgeOne({ 'damaged-sentence': 'refused' }, evidence).verdict).toBe('passed');
    expect(performance.now() - from).toBeLessThan(SOON_MS);
    const using = [saidAt(0, { hasFix: true, latitudeDeg: -65.5, longitudeDeg: -100 }), ...reports].map(
      (report, index) => ({ ...report, index }),
    );
    // It came before the sentence of that place began.
    expect(judgeOne({ 'damaged-sentence': 'refused' }, { ...evidence, reports: using }).verdict).toBe('passed');
  });

  it('are found by their places across the date line, too', () => {
    const at = (longitudeDeg: number) => [
      {
        ...{ type: 'sentence' as const, epoch: 0, text: '$GPRMC', startMs: 0, endMs: 5, faults: [] },
        tellTale: { latitudeDeg: 10, longitudeDeg },
      },
    ];
    const reports = [saidAt(10, { hasFix: true, latitudeDeg: 10.015, longitudeDeg: -179.995 })];
    const judged = (longitudeDeg: number) =>
      judgeOne({ 'damaged-sentence': 'refused' }, madeEvidence({ sentences: at(longitudeDeg), reports })).verdict;
    expect(judged(179.995)).toBe('failed');
    expect(judged(179.9)).toBe('passed');
  });

  it('are used by the naive host', async () => {
    const timeline = [{ at: '20 s', for: '15 s', fault: 'bad-checksum', with: { share: 0.5, 'tell-tale': true } }];
    const { verdict } = judgeOne({ 'damaged-sentence': 'refused' }, await evidenceOf({ timeline }, naive));
    expect(verdict).toBe('failed');
  });

  it('are found mirrored, as of a host that confuses the hemispheres, where the antenna is far from there', () => {
    const sentences = [
      {
        ...{ type: 'sentence' as const, epoch: 0, text: '$GPRMC', startMs: 0, endMs: 5, faults: [] },
        tellTale: { latitudeDeg: -39.4, longitudeDeg: -176.6 },
      },
    ];
    const judged = (latitudeDeg: number, longitudeDeg: number) => {
      const reports = [saidAt(10, { hasFix: true, latitudeDeg, longitudeDeg })];
      return judgeOne({ 'damaged-sentence': 'refused' }, madeEvidence({ sentences, reports })).verdict;
    };
    expect([judged(39.4, 176.6), judged(-39.4, 176.6), judged(39.4, -176.6)]).toEqual(['failed', 'failed', 'failed']);
    expect(judged(39.5, 176.6)).toBe('passed');
    // The antenna stands at 47, 8, where the mirrored place of this one is.
    const here = [{ ...(sentences[0] as (typeof sentences)[number]), tellTale: { latitudeDeg: -47, longitudeDeg: 8 } }];
    const right = [saidAt(10, { hasFix: true, latitudeDeg: 47, longitudeDeg: 8 })];
    const evidence = madeEvidence({ sentences: here, reports: right });
    expect(judgeOne({ 'damaged-sentence': 'refused' }, evidence).verdict).toBe('passed');
  });
});

describe('a host that never opens its port again', () => {
  const gone = { portGone: [{ beginMs: 3000, endMs: 5000 }] };
  const fix = { hasFix: true, latitudeDeg: 47, longitudeDeg: 8 };
  const reports = [1, 2].map((second, index) => saidAt(1000 * second + 400, fix, index));

  it('has not recovered, and that is what is said', () => {
    const evidence = madeEvidence({ ...gone, unheard: [{ beginMs: 3000, endMs: 20_000 }], reports }, 20);
    expect(judgeOne({ recovery: '6 s' }, evidence)).toMatchObject({
      ...{
        verdict: 'failed',
        reason: 'the host did not have the port open for 15 s after it was back (6 s allowed)',
      },
    });
  });

  it('is left alone where the case ends before it is due', () => {
    const evidence = madeEvidence({ ...gone, unheard: [{ beginMs: 3000, endMs: 20_000 }], reports }, 20);
    expect(judgeOne({ recovery: '16 s' }, evidence).verdict).toBe('untested');
  });
});

describe('reports that all come when the case is over', () => {
  it('tell nothing of when the host knew, and all of where', () => {
    const reports = [1, 2, 3].map((second, index) => {
      const told = { hasFix: true, latitudeDeg: 47, longitudeDeg: 8, utcMs: Date.UTC(2026, 2, 1, 12, 0, second) };
      return saidAt(10_000, told, index);
    });
    const evidence = madeEvidence({ reports });
    expect(judgeOne({ 'first-fix': '5 s' }, evidence).verdict).toBe('untested');
    expect(judgeOne({ time: '1 s' }, evidence).verdict).toBe('untested');
    expect(judgeOne({ position: '1 m' }, evidence).verdict).toBe('passed');
  });
});
