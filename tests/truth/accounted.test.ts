import { describe, expect, it } from 'vitest';
import { Accounted } from '../../src/truth/accounted.js';
import { fileOf, readFrom } from './proof-helper.js';

const RUN = {
  type: 'run',
  format: 1,
  title: 'told',
  seed: 1,
  module: 'any',
  startUtc: '2026-01-01T00:00:00.000Z',
  baud: 9600,
};

/** A journal of some records, read to its end. */
function read(...records: readonly object[]): Accounted {
  const end = { type: 'end', epochs: 0, sentences: 0, bytes: 0, dropped: 0 };
  const accounted = new Accounted(readFrom(fileOf([RUN, ...records, end].map((each) => JSON.stringify(each)))), 'j');
  while (accounted.next());
  return accounted;
}

const fault = (id: string, phase: 'begin' | 'end', atMs: number) => {
  return { type: 'fault', id, kind: 'silence', phase, atMs, with: {} };
};

describe('the speed of a host that is on record', () => {
  const set = { type: 'host', atMs: 1, event: 'speed', baud: 9600 };
  const faster = { type: 'line', atMs: 4, baud: 115_200 };

  it('is another one than the line’s from the record on that changes either', () => {
    expect(read(set, faster).otherSpeedLine).toBe(3);
  });

  it('is forgotten when the port comes back: nobody has set up what is there anew', () => {
    const [gone, back] = ['gone', 'back'].map((event, i) => ({ type: 'port', atMs: 2 + i, event, name: 'x' }));
    expect(read(set, gone as object, back as object, faster).otherSpeedLine).toBe(0);
    expect(read(set, gone as object, faster).otherSpeedLine).toBe(4);
  });
});

describe('the faults on record', () => {
  const found = (...records: readonly object[]) => read(...records).check.findings.map(({ what }) => what);

  it('may come again and again, several at once, and each ends', () => {
    const first = [fault('3.1', 'begin', 1), fault('cable.1', 'begin', 2), fault('3.1', 'end', 3)];
    expect(found(...first, fault('3.2', 'begin', 4), fault('cable.1', 'end', 5), fault('3.2', 'end', 6))).toEqual([]);
  });

  it('begin once, end once, and have begun where something names them', () => {
    const [begin, end] = [fault('3.1', 'begin', 1), fault('3.1', 'end', 2)];
    expect(found(begin, end, fault('3.1', 'begin', 3))).toEqual([
      'fault 3.1 begins a second time',
      'fault 3.1 has no end on record',
    ]);
    expect(found(begin, end, fault('3.1', 'end', 3))).toEqual(['fault 3.1 ends, and is not in force']);
    const lost = { type: 'dropped', epoch: 0, atMs: 3, text: '$X*00', bytes: 7, reason: 'fault', faults: ['3.2'] };
    expect(found(begin, end, lost)).toContain('names the fault 3.2, which has not begun');
    expect(found(begin, end, { ...lost, faults: ['3.1'] })).not.toContain('names the fault 3.1, which has not begun');
  });
});
