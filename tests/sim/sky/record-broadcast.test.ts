import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addSeconds } from '../../../src/base/time.js';
import type { KeplerRecord } from '../../../src/sim/sky/broadcast-record.js';
import { SEGMENT_S } from '../../../src/sim/sky/interpolated-orbit.js';
import { RecordBroadcast } from '../../../src/sim/sky/record-broadcast.js';
import { GPS_RECORD } from './records.js';

const START = GPS_RECORD.toe;

function recordAt(toeS: number, more: Partial<KeplerRecord> = {}): KeplerRecord {
  const toe = addSeconds(START, toeS);
  return { ...GPS_RECORD, toe, toc: toe, sentAt: addSeconds(toe, -7200), ...more };
}

describe('the records of one satellite', () => {
  const [first, second, third] = [recordAt(0), recordAt(7200), recordAt(14_400, { isHealthy: false })];
  const broadcast = new RecordBroadcast([third, first, second], START);

  it('the nearest one is in force, the earlier of two', () => {
    expect([-9000, 0, 3599, 3600, 3600 + SEGMENT_S, 10_800].map((tS) => broadcast.recordAt(tS))).toEqual([
      first,
      first,
      first,
      first,
      second,
      second,
    ]);
    expect(broadcast.recordAt(1e6)).toBe(third);
  });

  it('any number of records, at any times: the nearest at the segment’s beginning', () => {
    fc.assert(
      fc.property(
        fc.array(fc.nat(1000), { minLength: 1, maxLength: 12 }),
        fc.integer({ min: -500, max: 1500 }),
        (toes, at) => {
          const records = toes.map((toe) => recordAt(toe * SEGMENT_S));
          const found = new RecordBroadcast(records, START).recordAt(at * SEGMENT_S + 12);
          const offS = (toe: number) => Math.abs(toe - at);
          const nearest = Math.min(...toes.map(offS));
          const expected = Math.min(...toes.filter((toe) => offS(toe) === nearest));
          expect(found.toe).toEqual(addSeconds(START, expected * SEGMENT_S));
        },
      ),
    );
  });

  it('lists those that are in force at some time of a span, in order', () => {
    expect(broadcast.records(-1e6, 1e6)).toEqual([first, second, third]);
    expect(broadcast.records(100, 5000)).toEqual([first, second]);
    expect(broadcast.records(5000, 5000)).toEqual([second]);
  });

  it('status: absent two hours beyond the records, unhealthy where the record says so', () => {
    const status = [-7201, -7200, 5000, 12_000, 14_400 + 7200, 14_400 + 7201].map((tS) => broadcast.statusAt(tS));
    expect(status).toEqual(['absent', 'healthy', 'healthy', 'unhealthy', 'unhealthy', 'absent']);
  });

  it('a longer fit interval makes a record last longer, a nonsensical one does not', () => {
    const lasts = (fitHours: number, tS: number) =>
      new RecordBroadcast([recordAt(0, { fitHours })], START).statusAt(tS);
    expect([lasts(4, 10_000), lasts(6, 10_000), lasts(6, 10_801)]).toEqual(['absent', 'healthy', 'absent']);
    expect(lasts(1e6, 10_000)).toBe('absent');
  });

  it('of two with one reference time, that sent last counts from when it was sent', () => {
    const early = recordAt(0, { sentAt: addSeconds(START, -7200) });
    const update = recordAt(0, { sentAt: addSeconds(START, 600), isHealthy: false });
    const both = new RecordBroadcast([update, early], START);
    expect([-3000, 0, 599, 600, 3000].map((tS) => both.statusAt(tS))).toEqual([
      'healthy',
      'healthy',
      'healthy',
      'unhealthy',
      'unhealthy',
    ]);
    expect(new RecordBroadcast([update], START).statusAt(0)).toBe('unhealthy');
  });

  it('Galileo’s counts for four hours, but only an hour before its reference time', () => {
    const galileo = new RecordBroadcast([recordAt(0, { id: 'E01', system: 'galileo', fitHours: 0 })], START);
    expect([-3601, -3600, 14_400, 14_401].map((tS) => galileo.statusAt(tS))).toEqual([
      'absent',
      'healthy',
      'healthy',
      'absent',
    ]);
  });
});
