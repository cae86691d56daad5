import { z } from 'zod';
import type { Report } from '../../sim/epoch.js';
import { geoidSeparationM } from '../../sim/geoid.js';
import { defineFault } from '../fault.js';
import { allOf, placeIn, withoutFix } from '../reports.js';

/** At sea level. */
const NOWHERE = { latitudeDeg: 0, longitudeDeg: 0, heightM: geoidSeparationM(0, 0) };

export const zeroPosition = defineFault({
  name: 'zero-position',
  title: 'The reported position is 0, 0, as valid or as void.',
  stage: 'receiver',
  settings: z.strictObject({
    status: z
      .enum(['A', 'V'])
      .default('A')
      .describe('A: valid, with a quality to match; V: void, no fix, and yet 0, 0 where nothing should stand'),
  }),
  goodHost: 'Draws no track to 0, 0: takes no position that is void, and doubts one that is exactly zero.',
  create: ({ status }) => ({
    report: (report) => {
      const place = placeIn(report, NOWHERE);
      if (status === 'V') return { ...withoutFix(report), ...place };
      return { ...(report.fix === 'none' ? claimed(report) : report), ...place };
    },
  }),
});

/** A fix without a satellite, at rest: there is none, and the module says that there is. */
function claimed(report: Report): Report {
  const { systemModes } = report;
  return {
    ...report,
    fix: '2d',
    quality: 1,
    mode: 'A',
    systemModes: allOf(systemModes, 'A'),
    status: 'A',
    speedMps: 0,
  };
}
