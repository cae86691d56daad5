import { z } from 'zod';
import { defineFault } from '../fault.js';

export const wrongSpeed = defineFault({
  name: 'wrong-speed',
  title: 'The module’s UART runs at another speed: a host that stays at the old one reads garbage.',
  stage: 'byte',
  settings: z.strictObject({
    baud: z.int().min(50).max(10_000_000).default(4800).describe('the speed while it is in force, baud'),
  }),
  goodHost: 'Notices that nothing can be read, tries the usual speeds, and goes on at the one that gives sentences.',
  create: ({ baud }) => ({ baud }),
});
