import { describe, expect, it } from 'vitest';
import { antennaFault } from '../../src/faults/kinds/antenna-fault.js';
import { linesOf } from '../run/helper.js';
import { fieldsOf, named, withAndWithout } from './helper.js';
import { AT_BEGIN, effectOf, levels, signalsFrom } from './signal-helper.js';

const IDS = ['G01', 'G02', 'R03', 'E04', 'C05'];
const BANDS = ['L1', 'L5'] as const;

describe('antenna-fault', () => {
  it('open lets in 25 to 35 dB less, the same for all of a satellite’s signals and at every epoch', () => {
    const effect = effectOf(antennaFault);
    const [first, second] = [signalsFrom(IDS, BANDS), signalsFrom([...IDS].reverse(), BANDS)];
    effect.signal(first, AT_BEGIN);
    effect.signal(second, AT_BEGIN);
    const lossOf = new Map(first.map(({ id, cn0DbHz }) => [id, 45 - cn0DbHz]));
    for (const { id, cn0DbHz } of [...first, ...second]) expect(45 - cn0DbHz).toBe(lossOf.get(id));
    for (const loss of lossOf.values()) expect(loss >= 25 && loss <= 35).toBe(true);
    expect(new Set(lossOf.values()).size).toBe(IDS.length);
  });

  it('open is repeated by the seed', () => {
    const [a, b] = [signalsFrom(IDS), signalsFrom(IDS)];
    effectOf(antennaFault, {}, 7).signal(a, AT_BEGIN);
    effectOf(antennaFault, {}, 7).signal(b, AT_BEGIN);
    expect(levels(a)).toEqual(levels(b));
  });

  it('short lets nothing in', () => {
    const signals = signalsFrom(IDS, BANDS);
    effectOf(antennaFault, { state: 'short' }).signal(signals, AT_BEGIN);
    expect(levels(signals).every((level) => level === -Infinity)).toBe(true);
    effectOf(antennaFault, { state: 'short' }).signal(signals, AT_BEGIN);
    expect(levels(signals).every((level) => level === -Infinity)).toBe(true);
  });

  it.each([
    [{ state: 'lossy' }, 20],
    [{ state: 'lossy', attenuation: '12.5 dB' }, 12.5],
    [{ state: 'lossy', attenuation: '0 dB' }, 0],
    [{ state: 'lossy', attenuation: '60 dB' }, 60],
  ])('%j takes %d dB of every signal', (settings, lossDb) => {
    const signals = signalsFrom(IDS, BANDS);
    effectOf(antennaFault, settings).signal(signals, AT_BEGIN);
    expect(levels(signals).every((level) => level === 45 - lossDb)).toBe(true);
  });

  it.each([
    { state: 'broken' },
    { state: 'lossy', attenuation: '61 dB' },
    { state: 'lossy', attenuation: '-1 dB' },
    { state: 'open', attenuation: '10 dB' },
    { status: 'led' },
    { attenuation: '10 dB' },
  ])('refuses %j', (settings) => {
    expect(antennaFault.settings.safeParse(settings).success).toBe(false);
  });
});

describe('antenna-fault tells its state', () => {
  const fault = (settings: object) => [{ at: '20.4 s', for: '10 s', fault: 'antenna-fault', with: settings }];

  /** What the module says by TXT beside its banner, and when it begins to. */
  async function told(settings: object) {
    const { struck } = await withAndWithout(fault(settings));
    return named(struck.journal, 'TXT')
      .filter(({ startMs }) => startMs > 1000)
      .map(({ text, startMs }) => ({ fields: fieldsOf(text).slice(1), startMs }));
  }

  it.each(['open', 'short'])('%s: by TXT as it begins, and OK as it ends', async (state) => {
    const lines = await told({ state });
    expect(lines.map(({ fields }) => fields)).toEqual([
      ['01', '01', '02', `ANTENNA ${state.toUpperCase()}`],
      ['01', '01', '02', 'ANTENNA OK'],
    ]);
    // At once, or behind the epoch's sentences that are on the line.
    for (const [i, dueMs] of [20_400, 30_400].entries()) {
      const lateMs = (lines[i]?.startMs as number) - dueMs;
      expect(lateMs).toBeGreaterThanOrEqual(0);
      expect(lateMs).toBeLessThan(600);
    }
  });

  it('not where it is set to say nothing, and not of a lossy cable', async () => {
    expect(await told({ state: 'open', status: 'none' })).toEqual([]);
    expect(await told({ state: 'lossy' })).toEqual([]);
  });

  it('and loses the fix in the middle of it', async () => {
    const { struck } = await withAndWithout(fault({ state: 'short' }));
    expect(linesOf(struck.journal, 'epoch')[28]?.report.fix).toBe('none');
    expect(linesOf(struck.journal, 'epoch')[45]?.report.fix).toBe('3d');
  });
});
