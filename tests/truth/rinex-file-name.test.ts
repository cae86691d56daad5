import { describe, expect, it } from 'vitest';
import { gpsFromUtc } from '../../src/base/time.js';
import { rinexNames } from '../../src/truth/rinex/file-name.js';

const START = gpsFromUtc({ year: 2026, month: 2, day: 2, hour: 9, minute: 29, second: 42 });

describe('RINEX long names (RINEX 3.04, section 4, table 2)', () => {
  it('tell the start in GPS time, the period and the interval', () => {
    const { observation, navigation } = rinexNames({ start: START, durationS: 3600, intervalMs: 1000 });
    expect(observation).toBe('LODE00XXX_U_20260330930_01H_01S_MO.rnx');
    expect(navigation).toBe('LODE00XXX_U_20260330930_01H_MN.rnx');
  });

  it.each([
    [90, 1000, '02M_01S'],
    [1200, 200, '20M_05Z'],
    [86_400, 30_000, '01D_30S'],
    [86_400 * 2 + 1, 100, '49H_10Z'],
    [86_400 * 30.5, 60_000, '31D_60S'],
    [6000, 5, '02H_02C'],
    [60, 700, '01M_00U'],
    [Infinity, 1000, '00U_01S'],
  ])('%d s, an epoch every %d ms: %s', (durationS, intervalMs, expected) => {
    expect(rinexNames({ start: START, durationS, intervalMs }).observation).toContain(`_${expected}_MO.rnx`);
  });

  it('counts the days of a leap year', () => {
    const start = gpsFromUtc({ year: 2024, month: 12, day: 31, hour: 23, minute: 0, second: 0 });
    expect(rinexNames({ start, durationS: 60, intervalMs: 1000 }).navigation).toContain('_20243662300_');
  });
});
