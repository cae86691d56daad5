import { z } from 'zod';
import { defineFault } from '../fault.js';

/** How long the port is away where the entry has no `for`, s: a plug pulled out and put back. */
const AWAY_S = 2;

export const portLoss = defineFault({
  name: 'port-loss',
  title: 'The port goes, as where a plug is pulled, and comes back: under its old name, or another one.',
  stage: 'port',
  settings: z.strictObject({
    'hang-up': z
      .boolean()
      .default(true)
      .describe('true: who has the port open sees it hang up; false: nobody is told, and no byte comes any more'),
    back: z
      .enum(['same', 'other'])
      .default('same')
      .describe(
        'comes back under the same name, or another one. ' +
          'Of a pty, same is its --link: the system gives /dev/pts/N, and another N while a host has the old one open',
      ),
  }),
  lengthS: () => AWAY_S,
  goodHost: 'Notices that the port is gone, or that nothing comes, closes it, looks for it again, and reads on.',
  create: (settings) => ({
    begin: (port) => port.vanish(settings['hang-up']),
    end: (port) => port.comeBack(settings.back),
  }),
});
