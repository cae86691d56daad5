import { describe, expect, it } from 'vitest';
import { pairedReports } from '../../src/trial/pairing.js';
import type { Said } from './expectations/helper.js';
import { epochAt, madeEvidence, START_UTC_MS, saidAt } from './made.js';

/** Which epoch one report is about, and which time. */
function pair(arrivedMs: number, said: Said, more: Parameters<typeof madeEvidence>[0] = {}) {
  const [paired] = pairedReports(madeEvidence({ ...more, reports: [saidAt(arrivedMs, said)] }));
  return { epoch: paired?.epoch?.index ?? null, aboutMs: paired?.aboutMs, by: paired?.by };
}

const second = (seconds: number) => START_UTC_MS + seconds * 1000;

describe('a report that tells its time', () => {
  it('is about the epoch of that time, however late it comes', () => {
    expect(pair(8_700, { utcMs: second(3) })).toEqual({ epoch: 3, aboutMs: 3_000, by: 'time' });
  });

  it('is about the time itself between two epochs', () => {
    expect(pair(8_700, { utcMs: second(3.4) })).toEqual({ epoch: 3, aboutMs: 3_400, by: 'time' });
    expect(pair(8_700, { utcMs: second(3.6) })).toEqual({ epoch: 4, aboutMs: 3_600, by: 'time' });
  });

  it('is about no epoch that had not begun when it came', () => {
    expect(pair(3_900, { utcMs: second(4) })).toEqual({ epoch: 3, aboutMs: 3_000, by: 'arrival' });
  });

  it('is taken by what the module claimed before what was true', () => {
    // Three seconds ahead, as where leap seconds are not known yet.
    const epochs = madeEvidence().epochs.map(({ index }) =>
      epochAt(index, {}, { utc: new Date(second(index + 3)).toISOString() }),
    );
    expect(pair(4_500, { utcMs: second(7) }, { epochs })).toEqual({ epoch: 4, aboutMs: 4_000, by: 'time' });
  });

  it('is taken by the truth where the host has put the date right', () => {
    const epochs = madeEvidence().epochs.map(({ index }) =>
      epochAt(index, {}, { utc: `1980-01-06T00:00:0${index}.000Z` }),
    );
    expect(pair(4_500, { utcMs: second(4) }, { epochs })).toEqual({ epoch: 4, aboutMs: 4_000, by: 'time' });
    expect(pair(4_500, { utcMs: Date.UTC(1980, 0, 6, 0, 0, 4) }, { epochs })).toMatchObject({ epoch: 4, by: 'time' });
  });

  it('is about the newest of epochs that claim the same', () => {
    const epochs = madeEvidence().epochs.map(({ index }) =>
      epochAt(index, {}, { utc: new Date(second(0)).toISOString() }),
    );
    expect(pair(6_500, { utcMs: second(0) }, { epochs })).toMatchObject({ epoch: 6, by: 'time' });
  });

  it('is taken by its arrival where no epoch has a time near to it', () => {
    expect(pair(6_500, { utcMs: Date.UTC(1999, 7, 22) })).toEqual({ epoch: 6, aboutMs: 6_000, by: 'arrival' });
  });

  it('is found across midnight and a leap second', () => {
    const utc = (text: string) => Date.parse(text);
    const epochs = ['23:59:59', '23:59:60', '00:00:00', '00:00:01'].map((time, index) => {
      const day = index < 2 ? '2016-12-31' : '2017-01-01';
      const utcMs =
        index === 0 ? utc('2016-12-31T23:59:59Z') : utc('2017-01-01T00:00:00Z') + Math.max(0, index - 2) * 1000;
      return epochAt(index, { utcMs }, { utc: `${day}T${time}.000Z` });
    });
    expect(pair(1_500, { utcMs: utc('2017-01-01T00:00:00Z') }, { epochs }).epoch).toBe(1);
    expect(pair(2_500, { utcMs: utc('2017-01-01T00:00:00Z') }, { epochs }).epoch).toBe(2);
    expect(pair(3_500, { utcMs: utc('2016-12-31T23:59:59Z') }, { epochs }).epoch).toBe(0);
    expect(pair(3_500, { utcMs: utc('2017-01-01T00:00:01Z') }, { epochs }).epoch).toBe(3);
  });
});

describe('a report without a time', () => {
  it('is about the newest epoch that the host had whole', () => {
    expect(pair(3_300, {})).toEqual({ epoch: 3, aboutMs: 3_000, by: 'arrival' });
    expect(pair(3_299, {})).toEqual({ epoch: 2, aboutMs: 2_000, by: 'arrival' });
  });

  it('is about none before the first', () => {
    expect(pair(299, {})).toEqual({ epoch: null, aboutMs: 299, by: 'arrival' });
  });

  it('is about its own time where nothing has come for two intervals', () => {
    const epochs = madeEvidence().epochs.map(({ index }) => epochAt(index, index > 3 ? { toldMs: null } : {}));
    expect(pair(5_300, {}, { epochs }).epoch).toBe(3);
    expect(pair(5_301, {}, { epochs })).toEqual({ epoch: null, aboutMs: 5_301, by: 'arrival' });
  });

  it('is about an epoch of which there was only one sentence, where its place says so', () => {
    const epochs = madeEvidence().epochs.map(({ index }) => epochAt(index, {}, { latitudeDeg: 47 + index / 1000 }));
    const text = '$GPGGA,120004.00,4700.2400,N,00800.0000,E,1,08,1.0,400.0,M,48.0,M,,*5B';
    const sentences = [{ type: 'sentence' as const, epoch: 4, text, startMs: 4_050, endMs: 4_100, faults: [] }];
    const more = { epochs, sentences };
    expect(pair(4_150, { latitudeDeg: 47.004, longitudeDeg: 8 }, more).epoch).toBe(4);
    expect(pair(4_150, { latitudeDeg: 47.003, longitudeDeg: 8 }, more).epoch).toBe(3);
    expect(pair(4_099, { latitudeDeg: 47.004, longitudeDeg: 8 }, more).epoch).toBe(3);
    expect(pair(4_150, {}, more).epoch).toBe(3);
  });
});
