import { z } from 'zod';
import { quantity } from '../../base/quantity-schema.js';
import type { Report } from '../../sim/epoch.js';
import { polarPoint, wrapCourseDeg } from '../../sim/trajectory/geodesy.js';
import { defineFault } from '../fault.js';
import { placeIn } from '../reports.js';

/** Half way round the Earth, m. */
const FARTHEST_M = 20_000_000;

export const positionJump = defineFault({
  name: 'position-jump',
  title: 'The position jumps far out, stays so far off for a time, and comes back.',
  stage: 'receiver',
  settings: z.strictObject({
    distance: quantity('length', { exclusiveMin: 0, max: FARTHEST_M })
      .prefault('30 km')
      .describe('how far the reported position is from where it would be'),
    direction: quantity('angle', { min: 0, max: 360 })
      .optional()
      .describe('to which side, deg true; default: any, by chance'),
    out: quantity('duration', { exclusiveMin: 0, max: 86_400 })
      .prefault('3 s')
      .describe('how long it stays out, where the entry has no for'),
    'with-speed': z
      .boolean()
      .default(false)
      .describe(
        'true: speed and course show the jump: out at the first epoch, back at the last, which is at its place again',
      ),
  }),
  lengthS: ({ out }) => out,
  goodHost: 'Notices a way that no vehicle makes in the time, and adds it neither to the track nor to the distance.',
  create: ({ distance, direction, 'with-speed': withSpeed }, stream) => {
    const azimuthDeg = direction ?? stream.uniform() * 360;
    let isOut = false;
    return {
      report: (report, { leftS, intervalS }) => {
        const { latitudeDeg, longitudeDeg, altitudeMslM, geoidSeparationM } = report;
        if (latitudeDeg === null || longitudeDeg === null) return report;
        const speedMps = distance / intervalS;
        if (withSpeed && isOut && leftS <= intervalS) {
          return { ...report, speedMps, courseDeg: wrapCourseDeg(azimuthDeg + 180) };
        }
        const point = polarPoint({ latitudeDeg, longitudeDeg }, azimuthDeg, distance);
        const heightM = (altitudeMslM ?? 0) + (geoidSeparationM ?? 0);
        const there: Report = { ...report, ...placeIn(report, { ...point, heightM }) };
        const isFirst = !isOut;
        isOut = true;
        return withSpeed && isFirst ? { ...there, speedMps, courseDeg: wrapCourseDeg(point.azimuthDeg) } : there;
      },
    };
  },
});
