import { z } from 'zod';
import { quantity } from '../../base/quantity-schema.js';
import { defineFault } from '../fault.js';
import { bands, isOfBands, isOfSystems, satellite, systems } from '../settings.js';

export const signalLoss = defineFault({
  name: 'signal-loss',
  title: 'Signals of all or some satellites vanish, or are weakened by a set amount.',
  stage: 'signal',
  settings: z.strictObject({
    satellites: z
      .union([z.literal('all'), z.array(satellite()).min(1)])
      .default('all')
      .describe('all, or a list of satellites as RINEX names them: [G05, R12]'),
    systems: systems(),
    bands: bands(),
    attenuation: quantity('level', { exclusiveMin: 0, max: 200 })
      .optional()
      .describe('how much weaker the signals become; without it nothing arrives'),
  }),
  goodHost: 'Shows that the position is no longer valid, keeps no stale fix, and recovers when signals return.',
  create: ({ satellites, systems: ofSystems, bands: ofBands, attenuation }) => ({
    signal: (signals) => {
      for (const signal of signals) {
        if (satellites !== 'all' && !satellites.includes(signal.id)) continue;
        if (!isOfSystems(signal, ofSystems) || !isOfBands(signal, ofBands)) continue;
        signal.cn0DbHz = attenuation === undefined ? -Infinity : signal.cn0DbHz - attenuation;
      }
    },
  }),
});
