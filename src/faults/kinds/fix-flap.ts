import { z } from 'zod';
import { quantity } from '../../base/quantity-schema.js';
import type { Report } from '../../sim/epoch.js';
import { defineFault } from '../fault.js';
import { withoutFix } from '../reports.js';

export const fixFlap = defineFault({
  name: 'fix-flap',
  title: 'The fix type goes to and fro between 3D and 2D, or between 3D, 2D and none.',
  stage: 'receiver',
  settings: z.strictObject({
    period: quantity('duration', { exclusiveMin: 0, max: 86_400 })
      .prefault('4 s')
      .describe('from one change to 2D to the next; each type has an equal part of it'),
    none: z.boolean().default(false).describe('true: after 2D there is no fix at all'),
  }),
  goodHost: 'Takes no height from a 2D fix as measured, and does not alarm at each change.',
  create: ({ period, none }) => {
    const types = none ? (['2d', 'none', '3d'] as const) : (['2d', '3d'] as const);
    /** The height that a 2D fix holds, above the ellipsoid, m. */
    let heldM: number | null = null;
    return {
      report: (report, { sinceS }) => {
        if (report.fix !== '3d') {
          heldM = null;
          return report;
        }
        const type = types[Math.floor(((sinceS % period) * types.length) / period)];
        if (type === 'none') return withoutFix(report);
        const heightM = (report.altitudeMslM ?? 0) + (report.geoidSeparationM ?? 0);
        if (type === '3d' || heldM === null) heldM = heightM;
        return type === '3d' ? report : flat(report, heldM);
      },
    };
  },
});

/** As the receiver itself reports a solution with a held height, but for the satellites used, which stay as many. */
function flat(report: Report, heightM: number): Report {
  const { geoidSeparationM, deviation } = report;
  return {
    ...report,
    fix: '2d',
    altitudeMslM: heightM - (geoidSeparationM ?? 0),
    vdop: null,
    pdop: null,
    deviation: deviation === null ? null : { ...deviation, altitudeM: null },
    suspect: null,
  };
}
