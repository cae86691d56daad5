import { z } from 'zod';
import { defineFault } from '../fault.js';

export const silence = defineFault({
  name: 'silence',
  title: 'The port stays open, and no byte comes: a byte whose start bit falls in the silence is lost.',
  stage: 'byte',
  settings: z.strictObject({}),
  goodHost: 'Reports the missing data after a time-out, keeps the port open, and goes on when sentences return.',
  create: () => ({ pass: () => false }),
});
