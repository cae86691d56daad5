import { describe, expect, it } from 'vitest';
import { expectShare } from './helper.js';
import { ALL_PLACES, isIntact, kindOf, meantFields, sentFields, sentText, strike } from './sentence-helper.js';

/** Where each field stands by kind (field order). */
const FIELDS: Readonly<Record<string, Readonly<Record<string, readonly number[]>>>> = {
  altitude: { GGA: [9], GNS: [9] },
  separation: { GGA: [11], GNS: [10] },
  course: { RMC: [8], VTG: [1, 3] },
  speed: { RMC: [7], VTG: [5, 7] },
  time: { GGA: [1], GNS: [1], RMC: [1], ZDA: [1], GLL: [5] },
  date: { RMC: [9], ZDA: [2, 3, 4] },
  variation: { RMC: [10, 11] },
};
const MOVING = {
  module: ALL_PLACES,
  route: [
    { hold: '1 s', at: [47.1, 8.2, '430 m'] },
    { go: [[47.2, 8.3]], speed: '30 km/h' },
  ],
};

describe('blank-fields', () => {
  it.each(Object.entries(FIELDS))('%s is blank, units and all else as meant', async (which, places) => {
    const { lines } = await strike('blank-fields', { which: [which] }, MOVING);
    const had = new Set<string>();
    for (const line of lines) {
      const expected = meantFields(line);
      for (const place of places[kindOf(line)] ?? []) {
        if (expected[place] !== '') had.add(kindOf(line));
        expected[place] = '';
      }
      expect(sentFields(line)).toEqual(expected);
      expect(isIntact(sentText(line))).toBe(true);
    }
    expect(had).toEqual(new Set(Object.keys(places)));
  });

  it.each(['2.3', '4.10'])('cn0 of every satellite is blank in GSV of version %s', async (version) => {
    const module = { ...ALL_PLACES, version, sentences: { GSV: 1, RMC: 1 } };
    const { lines } = await strike('blank-fields', { which: ['cn0'] }, { module });
    const gsv = lines.filter((line) => kindOf(line) === 'GSV');
    for (const line of gsv) {
      const expected = meantFields(line);
      const satellites = Math.floor((expected.length - 4) / 4);
      expect(satellites).toBeGreaterThan(0);
      for (let i = 0; i < satellites; i++) expected[4 + 4 * i + 3] = '';
      expect(sentFields(line)).toEqual(expected);
    }
    expect(gsv.length).toBeGreaterThan(100);
  });

  it('blanks several at once, in the share of the chosen kinds', async () => {
    const settings = { which: ['time', 'date'], share: 0.4, sentences: ['RMC'] };
    const { lines } = await strike('blank-fields', settings, { duration: '300 s' });
    const rmc = lines.filter((line) => kindOf(line) === 'RMC');
    const struck = rmc.filter(({ faults }) => faults.length > 0);
    expectShare(struck.length, rmc.length, 0.4);
    for (const line of struck) expect([sentFields(line)[1], sentFields(line)[9]]).toEqual(['', '']);
    for (const line of lines) if (kindOf(line) !== 'RMC') expect(line.faults).toEqual([]);
  });

  it('has no hand where a field is blank already', async () => {
    const { lines } = await strike('blank-fields', {}, { receiver: { start: 'cold' }, duration: '10 s' });
    for (const line of lines) expect(line.faults).toEqual([]);
  });
});
