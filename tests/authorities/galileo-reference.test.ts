import { existsSync, readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { gpsFromUtc, parseUtc } from '../../src/base/time.js';
import { referenceSatellites } from '../../src/sim/sky/constellations/index.js';
import type { OrbitState, Satellite } from '../../src/sim/sky/orbit.js';
import { apartDeg, geometryOf } from './orbit-geometry.js';

const TABLE = new URL('../../../shared/data/tables/galileo-reference.csv', import.meta.url).pathname;
const PRECISE = new URL('../../../shared/data/orbit/precise-2020-177.sp3.gz', import.meta.url).pathname;
const EPOCH = gpsFromUtc(parseUtc('2016-11-21T00:00:00Z'));
/** IAU 1982 expression of Greenwich mean sidereal time, 6168.5 days after J2000 (UT1 taken as UTC). */
const GREENWICH_DEG = (280.46061837 + 360.98564736629 * 6168.5) % 360;
/** -0.02764398 deg a day (same source). */
const NODE_RATE_RADPS = (-0.02764398 * Math.PI) / 180 / 86_400;
/** The table's last digit. */
const PRINTED_DEG = 0.001;

const galileo = (start = EPOCH): Satellite[] => referenceSatellites(['galileo'], start);

describe('Galileo reference constellation (European GNSS Service Centre, orbital and technical parameters)', () => {
  const atEpoch = galileo().map((satellite) => geometryOf(satellite, 0, GREENWICH_DEG, NODE_RATE_RADPS));

  it.skipIf(!existsSync(TABLE))('galileo-reference.csv: each of the 24 slots holds one satellite at the epoch', () => {
    const rows = readFileSync(TABLE, 'utf8')
      .split('\n')
      .filter((line) => /^[A-C]0[1-8],/.test(line))
      .map((line) => line.split(','));
    expect(rows.length).toBe(24);
    for (const [slot, node, argument] of rows) {
      const inSlot = atEpoch.filter(
        (at) =>
          apartDeg(at.nodeDeg, Number(node)) < PRINTED_DEG &&
          apartDeg(at.latitudeArgumentDeg, Number(argument)) < PRINTED_DEG,
      );
      expect(inSlot.length, slot).toBe(1);
    }
  });

  it('quoted: slot A02 has its node at 317.632 and argument of latitude 225.153 deg; a 29,599.8 km, i 56 deg', () => {
    expect(
      atEpoch.filter(
        (at) => apartDeg(at.nodeDeg, 317.632) < PRINTED_DEG && apartDeg(at.latitudeArgumentDeg, 225.153) < PRINTED_DEG,
      ).length,
    ).toBe(1);
    for (const { radiusM, inclinationDeg } of atEpoch) {
      expect(Math.abs(radiusM - 29_599_800)).toBeLessThan(0.001);
      expect(apartDeg(inclinationDeg, 56)).toBeLessThan(PRINTED_DEG);
    }
  });

  it.skipIf(!existsSync(PRECISE))(
    'precise orbits of 2020-06-25 (CNES), 1312 days after the table’s epoch: each satellite within 5 deg of its slot',
    () => {
      const start = gpsFromUtc(parseUtc('2020-06-25T11:59:42Z'));
      const precise = preciseAt('12  0');
      const away = galileo(start).flatMap(({ id, orbit }) => {
        const [x, y, z] = precise.get(id) ?? [0, 0, 0];
        if (x === 0) return [];
        const s: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
        orbit.stateAt(0, s);
        const cos = (x * s.xM + y * s.yM + z * s.zM) / (Math.hypot(x, y, z) * Math.hypot(s.xM, s.yM, s.zM));
        return [(Math.acos(cos) * 180) / Math.PI];
      });
      expect(away.length).toBeGreaterThanOrEqual(20);
      expect(Math.max(...away)).toBeLessThan(5);
      expect(away.filter((deg) => deg < 2).length).toBeGreaterThanOrEqual(20);
    },
  );
});

/** Positions by satellite, km, of the epoch of the day at `hh mm` as SP3 prints it. */
function preciseAt(clock: string): Map<string, number[]> {
  const lines = gunzipSync(readFileSync(PRECISE)).toString('latin1').split('\n');
  const from = lines.findIndex((line) => line.startsWith(`*  2020  6 25 ${clock}`));
  const positions = new Map<string, number[]>();
  for (const line of lines.slice(from + 1)) {
    if (!line.startsWith('P')) break;
    positions.set(
      line.slice(1, 4).replace(' ', '0'),
      [4, 18, 32].map((at) => Number(line.slice(at, at + 14))),
    );
  }
  return positions;
}
