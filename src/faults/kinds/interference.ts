import { z } from 'zod';
import { quantity } from '../../base/quantity-schema.js';
import { defineFault } from '../fault.js';
import { bands, isOfBands } from '../settings.js';

export const interference = defineFault({
  name: 'interference',
  title:
    'Another transmitter raises the noise: C/N0 of every satellite falls, at once or by and by, on some bands or all.',
  stage: 'signal',
  settings: z.strictObject({
    loss: quantity('level', { exclusiveMin: 0, max: 100 })
      .prefault('20 dB')
      .describe('by how much C/N0 falls at its worst'),
    ramp: quantity('duration', { min: 0, max: 86_400 })
      .prefault('0 s')
      .describe('how long it takes to grow from nothing to that, and to go back before its end'),
    bands: bands(),
  }),
  goodHost: 'Tells bad reception from a broken receiver, widens its accuracy as C/N0 falls, and goes on where it can.',
  create: ({ loss, ramp, bands: ofBands }) => ({
    signal: (signals, { sinceS, leftS }) => {
      const share = ramp === 0 ? 1 : Math.max(0, Math.min(1, sinceS / ramp, leftS / ramp));
      for (const signal of signals) if (isOfBands(signal, ofBands)) signal.cn0DbHz -= share * loss;
    },
  }),
});
