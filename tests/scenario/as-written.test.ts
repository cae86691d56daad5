import { describe, expect, it } from 'vitest';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { settingsAsWritten, surroundingsAsWritten } from '../../src/scenario/as-written.js';
import { readLiveOffer } from '../../src/scenario/live-offer.js';

/** What a journal has of a value. */
const recorded = (value: unknown) => JSON.parse(JSON.stringify(value)) as unknown;

describe('settings of a fault, written again from what they were read as', () => {
  it.each(FAULT_KINDS)('$name: are read as the same', (kind) => {
    const settings = kind.settings.parse({});
    const written = settingsAsWritten(kind, recorded(settings));
    expect(recorded(kind.settings.parse(written))).toEqual(recorded(settings));
  });

  it.each([
    ['restart', { start: 'hot', off: '1234567 us' }],
    ['interference', { loss: '12.3 dB', ramp: '0.7 s', bands: ['L1'] }],
    ['false-sky', { offset: { east: '100.1 m', north: '-3 m' }, rate: '2.2 m/s', power: '7 dB', systems: ['gps'] }],
    ['false-sky', { time: '20 s', onset: 'at-once' }],
    ['antenna-fault', { state: 'lossy', attenuation: '11 dB' }],
    ['bad-checksum', { share: 0.123456789 }],
  ])('%s with %j: get their units back', (fault, settings) => {
    const read = readLiveOffer({ fault, with: settings }, 'test');
    if (read.kind !== 'fault') throw new Error('not a fault');
    const again = settingsAsWritten(read.fault, recorded(read.settings));
    expect(recorded(read.fault.settings.parse(again))).toEqual(recorded(read.settings));
  });
});

it.each([
  'open',
  'tunnel',
  'forest',
  'indoors',
  'street-canyon',
  { 'street-canyon': { width: '12.5 m', left: '3 m', right: '0 m', direction: '271 deg' } },
  { forest: { canopy: '7 m', 'loss-per-m': '0.25 dB' } },
  { indoors: { roof: '3 dB', wall: '4.5 dB' } },
  {
    horizon: [
      [0, 5],
      [90, 22.5],
    ],
  },
])('surroundings %j: are read as the same', (surroundings) => {
  const read = readLiveOffer({ surroundings }, 'test');
  if (read.kind !== 'surroundings') throw new Error('not surroundings');
  const again = readLiveOffer({ surroundings: surroundingsAsWritten(read.surroundings) }, 'test');
  expect(again).toEqual(read);
});
