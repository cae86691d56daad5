import { z } from 'zod';
import { quantity } from '../../base/quantity-schema.js';
import type { PositionDeviation } from '../../sim/epoch.js';
import { defineFault } from '../fault.js';

export const poorDilution = defineFault({
  name: 'poor-dilution',
  title: 'The dilution of precision grows to an extreme, and with it the deviation that the module claims.',
  stage: 'receiver',
  settings: z.strictObject({
    hdop: z
      .number()
      .min(1)
      .max(999)
      .default(99.99)
      .describe('what HDOP comes to; VDOP, PDOP and GST’s deviations are multiplied by as much'),
    ramp: quantity('duration', { min: 0, max: 86_400 })
      .prefault('10 s')
      .describe('how long it takes to grow to that, and to go back before its end'),
  }),
  goodHost: 'Widens the accuracy that it shows, and sets a position of an absurd dilution aside.',
  create: ({ hdop, ramp }) => ({
    report: (report, { sinceS, leftS }) => {
      if (report.hdop === null || report.hdop >= hdop) return report;
      const part = ramp === 0 ? 1 : Math.max(0, Math.min(1, sinceS / ramp, leftS / ramp));
      const factor = (hdop / report.hdop) ** part;
      return {
        ...report,
        hdop: report.hdop * factor,
        vdop: report.vdop === null ? null : report.vdop * factor,
        pdop: report.pdop === null ? null : report.pdop * factor,
        deviation: report.deviation === null ? null : scaled(report.deviation, factor),
      };
    },
  }),
});

/** The ranges are as good as they were: only what the geometry makes of them grows. */
function scaled(deviation: PositionDeviation, factor: number): PositionDeviation {
  const { majorM, minorM, latitudeM, longitudeM, altitudeM } = deviation;
  return {
    ...deviation,
    majorM: majorM * factor,
    minorM: minorM * factor,
    latitudeM: latitudeM * factor,
    longitudeM: longitudeM * factor,
    altitudeM: altitudeM === null ? null : altitudeM * factor,
  };
}
