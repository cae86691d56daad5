import { describe, expect, it } from 'vitest';
import { antennaFault } from '../../src/faults/kinds/antenna-fault.js';
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
    { attenuation: '10 dB' },
  ])('refuses %j', (settings) => {
    expect(antennaFault.settings.safeParse(settings).success).toBe(false);
  });
});
