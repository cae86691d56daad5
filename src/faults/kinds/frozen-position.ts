import { z } from 'zod';
import type { Report } from '../../sim/epoch.js';
import { defineFault } from '../fault.js';

export const frozenPosition = defineFault({
  name: 'frozen-position',
  title: 'Time runs on while the reported position stays where it was when the fault began.',
  stage: 'receiver',
  settings: z.strictObject({
    motion: z
      .enum(['live', 'frozen'])
      .default('live')
      .describe('whether speed and course go on (live) or freeze with the position'),
  }),
  goodHost: 'Notices coordinates that never change while the vehicle moves, and stops trusting them.',
  create: ({ motion }) => {
    let held: Report | null = null;
    return {
      report: (report) => {
        if (report.fix === 'none') return report;
        held ??= report;
        const { latitudeDeg, longitudeDeg, altitudeMslM, geoidSeparationM, speedMps, courseDeg } = held;
        const place = { latitudeDeg, longitudeDeg, altitudeMslM, geoidSeparationM };
        return motion === 'live' ? { ...report, ...place } : { ...report, ...place, speedMps, courseDeg };
      },
    };
  },
});
