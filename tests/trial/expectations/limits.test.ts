import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Evidence, LifeEvent } from '../../../src/trial/evidence.js';
import { epochAt, madeEvidence, START_UTC_MS, saidAt, TOLD_AFTER_MS } from '../made.js';
import { judgeOne, type Said } from './helper.js';

/** A report on every epoch, so long after it was told. */
function reporting(said: (second: number) => Said | null, more: Partial<Evidence> = {}, afterMs = 100): Evidence {
  const evidence = madeEvidence(more);
  const reports = evidence.epochs.flatMap(({ atMs }, i) => {
    const one = said(i);
    return one === null ? [] : [saidAt(atMs + TOLD_AFTER_MS + afterMs, one)];
  });
  return { ...evidence, reports: reports.map((report, index) => ({ ...report, index })) };
}

const started = (atMs: number): LifeEvent => ({
  ...{ event: 'started', atMs, code: null, signal: null, isByUs: false },
});
const ended = (atMs: number): LifeEvent => ({
  ...{ event: 'ended', atMs, code: null, signal: 'SIGSEGV', isByUs: false },
});

const HERE: Said = { hasFix: true, latitudeDeg: 47, longitudeDeg: 8 };
const verdictOf = (expectation: Readonly<Record<string, unknown>>, evidence: Evidence) =>
  judgeOne(expectation, evidence).verdict;

describe('at the limit', () => {
  it('a first fix passes, and fails a millisecond later', () => {
    const at = (arrivedMs: number) => madeEvidence({ reports: [saidAt(arrivedMs, HERE)] });
    expect(verdictOf({ 'first-fix': '5 s' }, at(5_000))).toBe('passed');
    expect(verdictOf({ 'first-fix': '5 s' }, at(5_001))).toBe('failed');
    expect(verdictOf({ 'first-fix': '5 s', after: 'module' }, at(5_300))).toBe('passed');
    expect(verdictOf({ 'first-fix': '5 s', after: 'module' }, at(5_301))).toBe('failed');
    expect(verdictOf({ 'first-fix': '3 s', from: '2 s' }, at(5_000))).toBe('passed');
    expect(verdictOf({ 'first-fix': '2999 ms', from: '2 s' }, at(5_000))).toBe('failed');
  });

  it('no fix passes, and fails a millisecond later', () => {
    const epochs = madeEvidence().epochs.map(({ index }) =>
      index < 4 ? epochAt(index) : epochAt(index, {}, { status: 'V', latitudeDeg: null, longitudeDeg: null }),
    );
    const at = (arrivedMs: number) =>
      madeEvidence({ epochs, reports: [saidAt(1_400, HERE, 0), saidAt(arrivedMs, { hasFix: false }, 1)] });
    expect(judgeOne({ 'no-fix': '2 s' }, at(6_300))).toMatchObject({ verdict: 'passed', measured: 2 });
    expect(judgeOne({ 'no-fix': '2 s' }, at(6_301))).toMatchObject({ verdict: 'failed', measured: 2.001 });
    expect(verdictOf({ 'no-fix': '6 s' }, at(6_300))).toBe('untested');
  });

  it('a recovery passes, and fails a millisecond later', () => {
    const epochs = madeEvidence().epochs.map(({ index }) =>
      index < 2 || index > 4 ? epochAt(index) : epochAt(index, {}, { status: 'V', latitudeDeg: null }),
    );
    const at = (arrivedMs: number) =>
      madeEvidence({
        epochs,
        reports: [saidAt(1_400, HERE, 0), saidAt(3_000, { hasFix: false }, 1), saidAt(arrivedMs, HERE, 2)],
      });
    expect(judgeOne({ recovery: '2 s' }, at(7_300))).toMatchObject({ verdict: 'passed', measured: 2 });
    expect(judgeOne({ recovery: '2 s' }, at(7_301))).toMatchObject({ verdict: 'failed', measured: 2.001 });
  });

  it.each([
    ['speed', { speed: '2 m/s' }, { speedMps: 2 }, { speedMps: 2.001 }],
    ['height', { height: '5 m' }, { altitudeMslM: 405 }, { altitudeMslM: 394.999 }],
    ['satellites used', { 'satellites-used': 2 }, { used: 10 }, { used: 5 }],
    ['satellites in view', { 'satellites-in-view': 0 }, { inView: 10 }, { inView: 11 }],
  ])('%s passes, and fails beyond', (_, expectation, right, wrong) => {
    expect(
      verdictOf(
        expectation,
        reporting(() => right),
      ),
    ).toBe('passed');
    expect(
      verdictOf(
        expectation,
        reporting(() => wrong),
      ),
    ).toBe('failed');
  });

  it('time passes, and fails a millisecond later; across midnight too', () => {
    const startUtcMs = Date.UTC(2026, 2, 1, 23, 59, 55);
    const epochs = madeEvidence().epochs.map(({ index }) => epochAt(index, { utcMs: startUtcMs + index * 1000 }));
    const off = (byMs: number) => reporting((i) => ({ utcMs: startUtcMs + i * 1000 + byMs }), { epochs });
    expect(judgeOne({ time: '250 ms' }, off(250))).toMatchObject({ verdict: 'passed', measured: 0.25, tests: 10 });
    expect(judgeOne({ time: '250 ms' }, off(-250)).verdict).toBe('passed');
    expect(judgeOne({ time: '250 ms' }, off(251)).verdict).toBe('failed');
  });

  it('latency passes, and fails a millisecond later; before the epoch was whole it is none', () => {
    const told = (afterMs: number) => reporting((i) => ({ utcMs: START_UTC_MS + i * 1000 }), {}, afterMs);
    expect(judgeOne({ latency: '500 ms' }, told(500))).toMatchObject({ verdict: 'passed', measured: 0.5, tests: 10 });
    expect(judgeOne({ latency: '500 ms' }, told(501)).verdict).toBe('failed');
    expect(judgeOne({ latency: '0 s' }, told(-200))).toMatchObject({ verdict: 'passed', measured: 0 });
  });

  it('latency is by the machine’s clock, at any pace', () => {
    const evidence = reporting((i) => ({ utcMs: START_UTC_MS + i * 1000 }), {}, 900);
    const tenTimes: Evidence = {
      ...evidence,
      realMsOf: (simulatedMs) => simulatedMs / 10,
      reports: evidence.reports.map((report) => ({ ...report, arrivedRealMs: report.arrivedMs / 10 })),
    };
    expect(judgeOne({ latency: '100 ms' }, tenTimes)).toMatchObject({
      verdict: 'passed',
      measured: expect.closeTo(0.09, 9),
    });
  });

  it('an interval passes, and fails a millisecond later, up to the end and from the window’s begin on', () => {
    const at = (...times: number[]) => madeEvidence({ reports: times.map((atMs, i) => saidAt(atMs, {}, i)) });
    expect(verdictOf({ 'report-interval': '3 s' }, at(1_000, 4_000, 7_000))).toBe('passed');
    expect(verdictOf({ 'report-interval': '3 s' }, at(1_000, 4_001, 7_001))).toBe('failed');
    expect(verdictOf({ 'report-interval': '3 s' }, at(1_000, 4_000, 6_999))).toBe('failed');
    // Before the first report nothing is expected, unless the window begins later.
    expect(verdictOf({ 'report-interval': '3 s' }, at(7_000))).toBe('passed');
    expect(verdictOf({ 'report-interval': '3 s', from: '3 s' }, at(1_000, 7_000))).toBe('failed');
    expect(judgeOne({ 'report-interval': '3 s', to: '5 s' }, at(7_000)).reason).toMatch(/^no report came up to/);
  });

  it('restarts pass, and one more fails', () => {
    const life = (ends: number): LifeEvent[] => [
      ...Array.from({ length: ends }, (_, i) => [started(i * 1000), ended(i * 1000 + 500)]).flat(),
      started(ends * 1000),
    ];
    expect(judgeOne({ restarts: 2 }, madeEvidence({ life: life(2) })).verdict).toBe('passed');
    const { verdict, moments } = judgeOne({ restarts: 2 }, madeEvidence({ life: life(3) }));
    expect(verdict).toBe('failed');
    expect(moments).toEqual([{ atMs: 2_500, what: 'the host was ended by SIGSEGV after 2.5 s', report: null }]);
    expect(judgeOne({ running: true, to: '400 ms' }, madeEvidence({ life: life(3) })).verdict).toBe('passed');
  });

  it('a date passes, and fails a second later', () => {
    const epochs = madeEvidence().epochs.map(({ index }) => epochAt(index, {}, { utc: null, dateKnown: false }));
    const off = (byMs: number) =>
      madeEvidence({ epochs, reports: [saidAt(5_000, { utcMs: START_UTC_MS + 5_000 + byMs })] });
    expect(verdictOf({ 'default-date': 'refused' }, off(-86_400_000))).toBe('passed');
    expect(verdictOf({ 'default-date': 'refused' }, off(-86_401_000))).toBe('failed');
    expect(verdictOf({ 'default-date': 'refused', limit: '2 d' }, off(-86_401_000))).toBe('passed');
  });
});

describe('an error', () => {
  it('of course is by the shorter way around, whatever the two courses are', () => {
    const degree = fc.integer({ min: 0, max: 359 });
    fc.assert(
      fc.property(degree, fc.integer({ min: 0, max: 180 }), fc.boolean(), (courseDeg, offDeg, isLeft) => {
        const epochs = [epochAt(0, { truth: { ...epochAt(0).truth, courseDeg, speedMps: 10 } as never })];
        const told = (((courseDeg + (isLeft ? -offDeg : offDeg)) % 360) + 360) % 360;
        const evidence = reporting(() => ({ courseDeg: told }), { epochs });
        expect(judgeOne({ course: '180 deg' }, evidence).measured).toBe(offDeg);
      }),
    );
  });

  it('of course counts only above the speed', () => {
    const epochs = [epochAt(0, { truth: { ...epochAt(0).truth, courseDeg: 0, speedMps: 1 } as never })];
    const evidence = reporting(() => ({ courseDeg: 90 }), { epochs });
    expect(verdictOf({ course: '10 deg' }, evidence)).toBe('untested');
    expect(verdictOf({ course: '10 deg', above: '0.9 m/s' }, evidence)).toBe('failed');
  });

  it('of position is small across the date line', () => {
    const truth = { ...epochAt(0).truth, latitudeDeg: 0, longitudeDeg: 179.99999 } as never;
    const evidence = reporting(() => ({ ...HERE, latitudeDeg: 0, longitudeDeg: -179.99999 }), {
      epochs: [epochAt(0, { truth })],
    });
    // Twice a hundred thousandth of a degree of the equator: 2.226 m (WGS-84, equatorial radius 6,378,137 m).
    expect(judgeOne({ position: '15 m' }, evidence).measured).toBeCloseTo(2.226, 3);
  });

  it('counts by nearest rank, one report as well as a hundred', () => {
    const far = { ...HERE, latitudeDeg: 47.001 };
    expect(
      verdictOf(
        { position: '15 m' },
        reporting((i) => (i === 0 ? HERE : null)),
      ),
    ).toBe('passed');
    expect(
      verdictOf(
        { position: '15 m' },
        reporting((i) => (i === 0 ? far : null)),
      ),
    ).toBe('failed');
    const epochs = Array.from({ length: 100 }, (_, index) => epochAt(index));
    const some = (wrong: number) => reporting((i) => (i < wrong ? far : HERE), { epochs, endMs: 100_000 });
    expect(verdictOf({ position: '15 m' }, some(5))).toBe('passed');
    expect(verdictOf({ position: '15 m' }, some(6))).toBe('failed');
    expect(verdictOf({ position: '15 m', percentile: 100 }, some(1))).toBe('failed');
    expect(judgeOne({ position: '15 m' }, some(50)).moments).toHaveLength(10);
  });

  it('is held against the module where that is wanted', () => {
    const epochs = madeEvidence().epochs.map(({ index }) => epochAt(index, {}, { latitudeDeg: 47.001 }));
    const evidence = reporting(() => ({ ...HERE, latitudeDeg: 47.001 }), { epochs });
    expect(verdictOf({ position: '15 m' }, evidence)).toBe('failed');
    expect(judgeOne({ position: '15 m', against: 'module' }, evidence)).toMatchObject({
      ...{ verdict: 'passed', measured: 0 },
      reason: '95 % within 0 m of the module’s report (15 m allowed), 10 reports',
    });
  });

  it('does not look like its limit where it is above', () => {
    const evidence = reporting(() => ({ altitudeMslM: 405.0004 }));
    expect(judgeOne({ height: '5 m' }, evidence).reason).toMatch(/^95 % within 5\.0004 m of the truth \(5 m allowed\)/);
  });

  it('of a report that says that it is no fix does not count', () => {
    const evidence = reporting(() => ({ ...HERE, latitudeDeg: 0, hasFix: false }));
    expect(verdictOf({ position: '15 m' }, evidence)).toBe('untested');
  });
});
