import { z } from 'zod';
import { defineFault } from '../fault.js';

export const backlog = defineFault({
  name: 'backlog',
  title: 'What is sent while no host is there waits for it: who opens the port reads old epochs first.',
  stage: 'port',
  settings: z.strictObject({
    size: z.int().min(1).max(1_000_000).default(4096).describe('so many of the newest bytes wait, 1 to 1,000,000'),
  }),
  goodHost: 'Throws away what lies in the port when it opens it, or tells by the times that epochs are old.',
  create: ({ size }) => ({
    begin: (port) => port.keep(size),
    end: (port) => port.keep(0),
  }),
});
