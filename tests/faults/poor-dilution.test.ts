import { describe, expect, it } from 'vitest';
import { poorDilution } from '../../src/faults/kinds/poor-dilution.js';
import type { Report } from '../../src/sim/epoch.js';
import { linesOf } from '../run/helper.js';
import { expectSameSentences, fieldsOf, named, withAndWithout } from './helper.js';
import { reporting, reportsOf } from './receiver-helper.js';

/** Rounding of a product and a quotient. */
const PARTS = 1e-12;

const poor = (settings: object = {}) => [{ at: '10 s', for: '40 s', fault: 'poor-dilution', with: settings }];

describe('poor-dilution', () => {
  it('grows to an HDOP of 99.99 in ten seconds and goes back before its end', async () => {
    const { struck, plain } = await withAndWithout(poor());
    const hdops = linesOf(struck.journal, 'epoch').map(({ report }) => report.hdop as number);
    for (let i = 11; i <= 20; i++) expect(hdops[i]).toBeGreaterThan(hdops[i - 1] as number);
    for (const hdop of hdops.slice(20, 41)) expect(Math.abs(hdop - 99.99)).toBeLessThan(1e-9);
    for (let i = 41; i <= 49; i++) expect(hdops[i]).toBeLessThan(hdops[i - 1] as number);
    expectSameSentences(struck, plain, 50);
  });

  it('never writes more than 99.99, in GGA and GSA', async () => {
    const style = { decimals: { dop: 2 } };
    const { struck } = await withAndWithout(poor(), { module: style });
    const gga = named(struck.journal, 'GGA').map(({ text }) => fieldsOf(text)[8]);
    expect(gga[30]).toBe('99.99');
    for (const { text, epoch } of named(struck.journal, 'GSA')) {
      const dops = fieldsOf(text).slice(15, 18);
      if (epoch === 30) expect(dops).toEqual(['99.99', '99.99', '99.99']);
      for (const dop of dops) expect(Number(dop)).toBeLessThanOrEqual(99.99);
    }
  });

  it('multiplies every dilution and deviation by the same, and leaves the ranges’ own', async () => {
    const report = (await reportsOf())[20] as Report;
    const seen = reporting(poorDilution, { hdop: 30 })(report, 15);
    const factor = 30 / (report.hdop as number);
    expect(Math.abs((seen.vdop as number) / (report.vdop as number) / factor - 1)).toBeLessThan(PARTS);
    expect(Math.abs(Math.hypot(seen.hdop as number, seen.vdop as number) / (seen.pdop as number) - 1)).toBeLessThan(
      PARTS,
    );
    const [was, is] = [report.deviation, seen.deviation] as const;
    for (const key of ['majorM', 'minorM', 'latitudeM', 'longitudeM', 'altitudeM'] as const) {
      expect(Math.abs((is?.[key] as number) / (was?.[key] as number) / factor - 1)).toBeLessThan(PARTS);
    }
    expect([is?.rangeRmsM, is?.orientationDeg]).toEqual([was?.rangeRmsM, was?.orientationDeg]);
    expect([seen.latitudeDeg, seen.longitudeDeg, seen.used]).toEqual([
      report.latitudeDeg,
      report.longitudeDeg,
      report.used,
    ]);
  });

  it('makes none better, and has nothing to change without a fix', async () => {
    const report = (await reportsOf())[20] as Report;
    const at = reporting(poorDilution, { hdop: 1, ramp: '0 s' });
    expect(at({ ...report, hdop: 5 }, 3).hdop).toBe(5);
    expect(at({ ...report, hdop: null }, 3).hdop).toBeNull();
    expect(reporting(poorDilution, { ramp: '0 s' })(report, 0).hdop).toBeCloseTo(99.99, 9);
  });
});
