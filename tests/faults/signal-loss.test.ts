import { describe, expect, it } from 'vitest';
import { signalLoss } from '../../src/faults/kinds/signal-loss.js';
import { satellite } from '../../src/faults/settings.js';
import { type EpochLine, linesOf } from '../run/helper.js';
import { expectSameSentences, faultEvents, fieldsOf, named, withAndWithout } from './helper.js';
import { AT_BEGIN, effectOf, levels, signalsFrom } from './signal-helper.js';

/** Reacquisition after a short loss is below 1 s by data sheets; bit synchronisation and the epoch add to it. */
const BACK_WITHIN_EPOCHS = 3;

const usedIn = ({ satellites }: EpochLine) => satellites.filter(({ state }) => state === 'used').map(({ id }) => id);

describe('signal-loss', () => {
  it('of all satellites voids the position at once and gives it back soon after', async () => {
    const { struck, plain } = await withAndWithout([{ at: '20 s', for: '10 s', fault: 'signal-loss' }]);
    const epochs = linesOf(struck.journal, 'epoch');
    for (let index = 20; index < 30; index++) {
      const { report, satellites, faults } = epochs[index] as EpochLine;
      expect([report.fix, report.status, report.latitudeDeg, report.used]).toEqual(['none', 'V', null, 0]);
      expect(satellites.every(({ state, signals }) => state === 'hidden' && signals.L1?.cn0DbHz === null)).toBe(true);
      expect(faults).toEqual(['1.1']);
      // The clock runs on by itself.
      expect(report.timeKnown && report.dateKnown).toBe(true);
    }
    expect(epochs[19]?.report.fix).toBe('3d');
    expect(epochs[30 + BACK_WITHIN_EPOCHS]?.report.fix).toBe('3d');
    for (const { text, epoch } of named(struck.journal, 'RMC')) {
      if (epoch < 20 || epoch >= 30) continue;
      expect(fieldsOf(text).slice(2, 9)).toEqual(['V', '', '', '', '', '', '']);
      expect(fieldsOf(text)[1]).not.toBe('');
      expect(fieldsOf(text)[9]).not.toBe('');
    }
    for (const { text, epoch } of named(struck.journal, 'GSV')) {
      if (epoch < 20 || epoch >= 30) continue;
      // Predicted, and not heard: elevation and azimuth without C/N0.
      const entries = fieldsOf(text).slice(4, -1);
      for (let k = 0; k < entries.length; k += 4) expect(entries[k + 3]).toBe('');
    }
    // Once all are found again, the noise is where it would have been.
    const again = epochs.findIndex(
      (epoch, i) => i > 30 && usedIn(epoch).join() === usedIn(linesOf(plain.journal, 'epoch')[i] as EpochLine).join(),
    );
    expect(again).toBeGreaterThan(30);
    expect(again).toBeLessThan(40);
    expectSameSentences(struck, plain, again);
  });

  it('is on record with its settings', async () => {
    const timeline = [{ at: '20 s', for: '10 s', fault: 'signal-loss', with: { attenuation: '12 dB' } }];
    const { struck } = await withAndWithout(timeline);
    const settings = { satellites: 'all', systems: 'all', bands: 'all', attenuation: 12 };
    expect(faultEvents(struck.journal)).toEqual([
      { id: '1.1', kind: 'signal-loss', phase: 'begin', atMs: 20_000, with: settings },
      { id: '1.1', kind: 'signal-loss', phase: 'end', atMs: 30_000, with: settings },
    ]);
  });

  it('of some satellites takes just those out of the solution', async () => {
    const before = (await withAndWithout([])).plain;
    const [first, second] = usedIn(linesOf(before.journal, 'epoch')[19] as EpochLine) as [string, string];
    const timeline = [{ at: '20 s', for: '10 s', fault: 'signal-loss', with: { satellites: [first, second] } }];
    const { struck, plain } = await withAndWithout(timeline);
    const epochs = linesOf(struck.journal, 'epoch');
    const untouched = linesOf(plain.journal, 'epoch');
    for (let index = 20; index < 30; index++) {
      const epoch = epochs[index] as EpochLine;
      const expected = usedIn(untouched[index] as EpochLine).filter((id) => id !== first && id !== second);
      expect(usedIn(epoch)).toEqual(expected);
      expect(epoch.report.used).toBe(expected.length);
      const others = (line: EpochLine) => line.satellites.filter(({ id }) => id !== first && id !== second);
      expect(others(epoch)).toEqual(others(untouched[index] as EpochLine));
    }
    expectSameSentences(struck, plain, 30 + BACK_WITHIN_EPOCHS);
  });

  it('by an attenuation weakens each signal by just that', async () => {
    const timeline = [{ at: '20 s', for: '10 s', fault: 'signal-loss', with: { attenuation: '6 dB' } }];
    const { struck, plain } = await withAndWithout(timeline);
    /** A difference of two doubles near 50. */
    const ARITHMETIC_DB = 1e-9;
    let compared = 0;
    for (let index = 20; index < 30; index++) {
      const whole = linesOf(plain.journal, 'epoch')[index] as EpochLine;
      for (const { id, signals } of (linesOf(struck.journal, 'epoch')[index] as EpochLine).satellites) {
        const open = whole.satellites.find((satellite) => satellite.id === id)?.signals.L1?.cn0DbHz;
        const weak = signals.L1?.cn0DbHz ?? null;
        if (weak === null || open === null || open === undefined) continue;
        expect(Math.abs(open - weak - 6)).toBeLessThan(ARITHMETIC_DB);
        compared++;
      }
    }
    expect(compared).toBeGreaterThan(50);
  });
});

describe('signal-loss, of some signals', () => {
  const IDS = ['G05', 'R24', 'E36', 'C63', 'J07', 'I02', 'S36'];
  const BANDS = ['L1', 'L2', 'L5'] as const;

  function lost(settings: unknown): string[] {
    const signals = signalsFrom(IDS, BANDS);
    effectOf(signalLoss, settings).signal(signals, AT_BEGIN);
    expect(levels(signals).every((level) => level === 45 || level === -Infinity)).toBe(true);
    return signals.filter(({ cn0DbHz }) => cn0DbHz === -Infinity).map(({ id, kind }) => `${id} ${kind.name}`);
  }

  it('takes satellites of any system with all their signals', () => {
    expect(lost({ satellites: ['R24', 'E36', 'S36'] })).toEqual([
      ...['R24 G1', 'R24 G2', 'E36 E1', 'E36 E5b', 'E36 E5a', 'S36 L1', 'S36 L5'],
    ]);
    expect(lost({}).length).toBe(signalsFrom(IDS, BANDS).length);
  });

  it('takes whole systems, some bands, or what is common to the lists', () => {
    expect(lost({ systems: ['beidou', 'navic'] })).toEqual(['C63 B1', 'C63 B3', 'C63 B2a', 'I02 L5']);
    expect(lost({ bands: ['L2'] })).toEqual(['G05 L2', 'R24 G2', 'E36 E5b', 'C63 B3', 'J07 L2']);
    expect(lost({ satellites: ['G05', 'E36'], systems: ['gps'], bands: ['L5'] })).toEqual(['G05 L5']);
  });

  it('knows the satellites’ names of every system, and no others', () => {
    const known = ['G01', 'G32', 'R01', 'R27', 'E01', 'E36', 'C01', 'C63', 'J01', 'J10', 'I01', 'I14', 'S20', 'S58'];
    const unknown = ['G00', 'G33', 'R28', 'E37', 'C64', 'J11', 'I15', 'S19', 'S59', 'X01', 'g05', 'G5', 'G005', ''];
    for (const id of known) expect(satellite().safeParse(id).success, id).toBe(true);
    for (const id of unknown) expect(satellite().safeParse(id).success, id).toBe(false);
  });

  it.each([{ systems: [] }, { systems: ['GPS'] }, { bands: ['E1'] }, { satellites: [] }, { attenuation: '0 dB' }])(
    'refuses %j',
    (settings) => {
      expect(signalLoss.settings.safeParse(settings).success).toBe(false);
    },
  );
});
