import { z } from 'zod';
import type { Report } from '../../sim/epoch.js';
import { defineFault } from '../fault.js';

export const frozenPosition = defineFault({
  name: 'frozen-position',
  title: 'The reported position stays where it was when the fault began; the time runs on, or stands still too.',
  stage: 'receiver',
  settings: z.strictObject({
    motion: z
      .enum(['live', 'frozen'])
      .default('live')
      .describe('whether speed and course go on (live) or freeze with the position'),
    time: z
      .enum(['live', 'frozen'])
      .default('live')
      .describe('frozen: the time stands still too, and all else: the same report again and again'),
  }),
  goodHost:
    'Notices coordinates that never change while the vehicle moves, or a clock that stands, and trusts neither.',
  create: ({ motion, time }) => {
    let held: Report | null = null;
    return {
      report: (report) => {
        if (held !== null && time === 'frozen') return held;
        if (report.fix === 'none') return report;
        held ??= report;
        const { latitudeDeg, longitudeDeg, altitudeMslM, geoidSeparationM, speedMps, courseDeg } = held;
        const place = { latitudeDeg, longitudeDeg, altitudeMslM, geoidSeparationM };
        return motion === 'live' ? { ...report, ...place } : { ...report, ...place, speedMps, courseDeg };
      },
    };
  },
});
