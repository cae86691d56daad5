import { z } from 'zod';
import { defineFault } from '../fault.js';

export const portRefusal = defineFault({
  name: 'port-refusal',
  title:
    'Whoever opens the port is refused, as where another program has it; who has it open reads on; ' +
    'but on a pty its reads fail for some ms each time that root is refused.',
  stage: 'port',
  settings: z.strictObject({}),
  goodHost: 'Says that the port is in use, tries again after a while, and does not end.',
  create: () => ({
    begin: (port) => port.refuse(true),
    end: (port) => port.refuse(false),
  }),
});
