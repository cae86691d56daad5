import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { dateLabelOfMs, utcMsAt, utcMsFrom, utcMsOf, utcOfMs } from '../../src/base/utc-ms.js';

/** From 1980 to 2079, what two digits of a year tell. */
const TIMES = fc.integer({ min: Date.UTC(1980, 0, 1), max: Date.UTC(2079, 11, 31) });

describe('UTC in milliseconds', () => {
  it('is that of ECMAScript’s Date, there and back, as text, and as a day with its time', () => {
    fc.assert(
      fc.property(TIMES, (utcMs) => {
        const text = new Date(utcMs).toISOString();
        expect(utcMsFrom(text)).toBe(utcMs);
        const utc = utcOfMs(utcMs);
        expect(utcMsOf(utc)).toBe(utcMs);
        expect(utcMsAt(utc, (utc.hour * 3600 + utc.minute * 60) * 1000 + Math.round(utc.second * 1000))).toBe(utcMs);
        expect(dateLabelOfMs(utcMs)).toBe(text.slice(0, 10));
      }),
    );
  });

  it('takes a second 60 for the first one of the next day', () => {
    expect(utcMsFrom('2016-12-31T23:59:60.500Z')).toBe(Date.UTC(2017, 0, 1, 0, 0, 0, 500));
  });

  it.each(['', '2026-03-01', '2026-03-01T12:00:00', '2026-03-01 12:00:00Z'])('refuses %j', (text) => {
    expect(() => utcMsFrom(text)).toThrow(RangeError);
  });
});
