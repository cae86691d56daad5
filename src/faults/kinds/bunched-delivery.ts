import { z } from 'zod';
import { quantity } from '../../base/quantity-schema.js';
import { defineFault } from '../fault.js';

export const bunchedDelivery = defineFault({
  name: 'bunched-delivery',
  title: 'Bytes arrive in bunches, as from a bridge between UART and USB, which sends full packets or after a while.',
  stage: 'port',
  settings: z.strictObject({
    hold: quantity('duration', { exclusiveMin: 0, max: 10 })
      .prefault('16 ms')
      .describe('what has waited so long is delivered'),
    packet: z.int().min(1).max(4096).default(62).describe('so many bytes are delivered at once, 1 to 4096'),
  }),
  goodHost: 'Takes the times from the sentences, not from when they arrive.',
  create: ({ hold, packet }) => ({
    begin: (port) => port.bunch({ holdMs: hold * 1000, packetBytes: packet }),
    end: (port) => port.bunch(null),
  }),
});
