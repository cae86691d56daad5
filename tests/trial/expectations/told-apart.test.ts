import { describe, expect, it } from 'vitest';
import { epochAt, madeEvidence, saidAt } from '../made.js';
import { evidenceOf, judgeOne } from './helper.js';
import { careful, mute, naive, withMistake } from './hosts.js';

const LONG = { duration: '60 s' };
const away = (fault: object) => ({ ...LONG, timeline: [{ at: '20 s', for: '15 s', ...fault }] });
const HERE = { hasFix: true, latitudeDeg: 47, longitudeDeg: 8 };

describe('a loss of the fix', () => {
  it.each([
    ['the port that goes', { fault: 'port-loss', for: '15 s' }],
    ['the module that falls silent', { fault: 'silence', for: '15 s' }],
    ['the module that is off', { fault: 'restart', with: { off: '12 s', start: 'hot' } }],
  ])('is %s, too', async (_, fault) => {
    const scenario = { ...LONG, timeline: [{ at: '20 s', ...fault }] };
    const good = judgeOne({ 'no-fix': '4 s' }, await evidenceOf(scenario, careful));
    expect(good.verdict, good.reason).toBe('passed');
    const bad = judgeOne({ 'no-fix': '4 s' }, await evidenceOf(scenario, naive));
    expect(bad.verdict, bad.reason).toBe('failed');
    expect(bad.reason).toContain('s after the module’s last sentences');
    const back = judgeOne({ recovery: '5 s' }, await evidenceOf(scenario, careful));
    expect(back.verdict, back.reason).toBe('passed');
  });

  it('is told by silence where that is agreed on', async () => {
    const evidence = await evidenceOf(away({ fault: 'port-loss' }), naive);
    expect(judgeOne({ 'no-fix': '4 s', silence: 'no-fix' }, evidence).verdict).toBe('passed');
  });

  it('counts where it begins in the window, and so does the recovery from it', async () => {
    const evidence = await evidenceOf(away({ surroundings: 'tunnel' }), careful);
    expect(judgeOne({ 'no-fix': '3 s', during: 'tunnel' }, evidence).verdict).toBe('passed');
    expect(judgeOne({ recovery: '5 s', during: 'tunnel' }, evidence).verdict).toBe('passed');
    expect(judgeOne({ 'no-fix': '3 s', to: '19 s' }, evidence).verdict).toBe('untested');
  });

  it('is untested with a host that had no fix', async () => {
    const evidence = await evidenceOf(
      away({ surroundings: 'tunnel' }),
      withMistake(() => ({ hasFix: false })),
    );
    expect(judgeOne({ 'no-fix': '3 s' }, evidence).reason).toBe('the host reported no fix that it could lose');
  });

  it('is none while the module carries its place on', async () => {
    const smoothing = { start: 'hot', smoothing: { 'dead-reckoning': '20 s' } };
    const evidence = await evidenceOf({ ...away({ surroundings: 'tunnel' }), receiver: smoothing }, naive);
    expect(judgeOne({ 'no-fix': '3 s' }, evidence).verdict).toBe('untested');
  });
});

describe('a recovery', () => {
  /** The module loses its fix at one place and has it back a hundred metres on. */
  const epochs = madeEvidence().epochs.map(({ index }) =>
    index < 2
      ? epochAt(index)
      : epochAt(index, {}, index < 5 ? { status: 'V', latitudeDeg: null } : { latitudeDeg: 47.001 }),
  );
  const backAt = (latitudeDeg: number) =>
    madeEvidence({ epochs, reports: [saidAt(1_400, HERE, 0), saidAt(6_400, { ...HERE, latitudeDeg }, 1)] });

  it('is no report of the place from before', () => {
    expect(judgeOne({ recovery: '2 s' }, backAt(47)).verdict).toBe('failed');
    expect(judgeOne({ recovery: '2 s' }, backAt(47.001)).verdict).toBe('passed');
  });
});

describe('a first fix', () => {
  it('that comes before the module’s own is none', () => {
    const epochs = madeEvidence().epochs.map(({ index }) =>
      index > 4 ? epochAt(index) : epochAt(index, {}, { status: 'V', latitudeDeg: null }),
    );
    const { verdict, reason } = judgeOne(
      { 'first-fix': '9 s' },
      madeEvidence({ epochs, reports: [saidAt(2_000, HERE)] }),
    );
    expect({ verdict, reason }).toEqual({
      ...{ verdict: 'failed', reason: 'a fix was reported 3 s before the module had one' },
    });
  });

  it('is untested where the module was late, or the case too short', () => {
    const epochs = madeEvidence().epochs.map(({ index }) =>
      index > 7 ? epochAt(index) : epochAt(index, {}, { status: 'V', latitudeDeg: null }),
    );
    const late = judgeOne({ 'first-fix': '5 s' }, madeEvidence({ epochs, reports: [saidAt(8_500, HERE)] }));
    expect(late.verdict).toBe('untested');
    expect(late.reason).toBe('the module itself had its first fix only at 8.3 s, 5 s allowed');
    expect(judgeOne({ 'first-fix': '45 s' }, madeEvidence()).reason).toMatch(/^the case ended before 45 s had passed/);
  });
});

describe('a wrong date', () => {
  it('is one after a rollover of weeks, too', async () => {
    const scenario = { duration: '60 s', receiver: { start: 'hot', 'firmware-date': '2003-06-01' } };
    const evidence = await evidenceOf(scenario, naive);
    expect(judgeOne({ 'default-date': 'refused' }, evidence)).toMatchObject({
      ...{ verdict: 'failed', reason: expect.stringMatching(/^a date 7168 days off reported, 2006-07-16/) },
    });
    expect(judgeOne({ 'default-date': 'refused' }, await evidenceOf(scenario, careful)).verdict).toBe('untested');
  });
});

describe('a false place', () => {
  it.each([
    ['of a spoofer', { fault: 'false-sky', with: { onset: 'at-once', offset: { east: '5 km' } } }],
    ['at 0, 0', { fault: 'zero-position' }],
    ['at 0, 0, void', { fault: 'zero-position', with: { status: 'V' } }],
  ])('%s is refused by the careful host and taken by the naive one', async (_, fault) => {
    const good = judgeOne({ 'false-jump': 'refused' }, await evidenceOf(away(fault), careful));
    expect(good.verdict, good.reason).toBe('passed');
    const bad = judgeOne({ 'false-jump': 'refused' }, await evidenceOf(away(fault), naive));
    expect(bad.verdict, bad.reason).toBe('failed');
  });

  it('is untested with a host that reports no place', async () => {
    const scenario = away({ fault: 'position-jump' });
    expect(judgeOne({ 'false-jump': 'refused' }, await evidenceOf(scenario, mute)).verdict).toBe('untested');
  });
});

describe('a damaged sentence', () => {
  it.each(['bad-checksum', 'cut-then-dollar'])('by %s is told by its place', async (fault) => {
    const scenario = away({ fault, with: { 'tell-tale': true, share: 0.5, sentences: ['RMC'] } });
    const bad = judgeOne({ 'damaged-sentence': 'refused' }, await evidenceOf(scenario, naive));
    expect(bad.verdict, bad.reason).toBe('failed');
    expect(bad.surroundings[0]?.sentences.some(({ startMs }) => startMs === bad.moments[0]?.sentenceMs)).toBe(true);
    expect(bad.surroundings[0]?.sentences.flatMap(({ faults }) => faults)).toContain('1.1');
    expect(bad.surroundings[0]?.said[0]?.atMs).toBe(bad.moments[0]?.atMs);
    const good = judgeOne({ 'damaged-sentence': 'refused' }, await evidenceOf(scenario, careful));
    expect(good.verdict, good.reason).toBe('passed');
  });

  it('is untested with a host that says nothing after it', async () => {
    const scenario = away({ fault: 'bad-checksum', with: { 'tell-tale': true } });
    const { reason } = judgeOne({ 'damaged-sentence': 'refused' }, await evidenceOf(scenario, mute));
    expect(reason).toBe('no report came after a damaged sentence');
  });
});
