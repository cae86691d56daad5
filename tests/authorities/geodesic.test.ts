import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { buildTrajectory } from '../../src/sim/trajectory/build-trajectory.js';
import { chordM, geodesicBetween, polarPoint, turnDeg } from '../../src/sim/trajectory/geodesy.js';

/**
 * C. F. F. Karney, "Test set for geodesics" (2010), doi:10.5281/zenodo.32156: latitude 1, longitude 1, azimuth 1,
 * latitude 2, longitude 2, azimuth 2 (deg), s12 (m), a12 (deg), m12 (m), S12 (m2).
 */
const QUOTED = [
  [
    '26.010745808687 0 .001066006762 64.958396828764391273 .001576658648546905',
    '.002258602266785352 4328675.605565 38.949539053820959558 4003980.5302367959495 843422896.549356',
  ].join(' '),
  [
    '.002776960941 0 90.004934285837 -.002670966075003864 57.164518655793700538',
    '90.00499207004449665 6363525.1342937 57.356825466117117425 5352678.9635730864489 40752767.669231',
  ].join(' '),
  [
    '.004857951054 0 89.99505820439 .006687014175916661 60.946393738465005896',
    '90.001856403871962433 6784521.4815083 61.15142256193035959 5567866.1107275522269 4794483753.827583',
  ].join(' '),
];
const TABLE = new URL('../../../shared/data/tables/geodtest-100.dat', import.meta.url).pathname;

/** The set's distances are good to 0.1 µm; latitudes in degrees hold 1 nm. */
const POSITION_TOLERANCE_M = 1e-6;
/** A shift of 5 nm across a leg of 1 km; shorter or nearly antipodal legs have less certain azimuths. */
const AZIMUTH_TOLERANCE_DEG = 1e-8;
/** A distance at which an azimuth is certain, and how far from the antipode it still is, m. */
const CERTAIN_M = 1000;
const ANTIPODAL_M = 19_900_000;
/** Accumulated rounding of one start, one cruise, one stop. */
const RELATIVE_TIME_TOLERANCE = 1e-12;

function expectRow(row: string): void {
  const [lat1, lon1, azi1, lat2, lon2, azi2, s12, , m12] = row.trim().split(/\s+/).map(Number) as number[];
  const from = { latitudeDeg: lat1!, longitudeDeg: lon1! };
  const to = { latitudeDeg: lat2!, longitudeDeg: lon2! };
  const leg = geodesicBetween(from, to);
  expect(Math.abs(leg.lengthM - s12!), `s12 of ${row}`).toBeLessThan(POSITION_TOLERANCE_M);
  if (s12! > CERTAIN_M && s12! < ANTIPODAL_M && Math.abs(lat1!) < 89.9 && Math.abs(lat2!) < 89.9) {
    expect(Math.abs(turnDeg(azi1!, leg.startAzimuthDeg)), `azi1 of ${row}`).toBeLessThan(AZIMUTH_TOLERANCE_DEG);
    expect(Math.abs(turnDeg(azi2!, leg.endAzimuthDeg)), `azi2 of ${row}`).toBeLessThan(AZIMUTH_TOLERANCE_DEG);
  }
  expect(chordM(leg.at(s12!), to), `end of ${row}`).toBeLessThan(POSITION_TOLERANCE_M);
  const direct = polarPoint(from, azi1!, s12!);
  expect(chordM(direct, to), `direct of ${row}`).toBeLessThan(POSITION_TOLERANCE_M);
  expect(Math.abs(direct.reducedM - m12!), `m12 of ${row}`).toBeLessThan(POSITION_TOLERANCE_M);
}

function expectGo(row: string): void {
  const [lat1, lon1, , lat2, lon2, , s12] = row.trim().split(/\s+/).map(Number) as number[];
  const via = [
    { latitudeDeg: lat1!, longitudeDeg: lon1! },
    { latitudeDeg: lat2!, longitudeDeg: lon2! },
  ];
  const speedMps = 250;
  const accelerationMps2 = 0.5;
  const step = { kind: 'go', via, speedMps, accelerationMps2, yawRateDegps: 5 } as const;
  const trajectory = buildTrajectory([step]);
  // Starting and stopping each take v/a and cover half of what cruising would.
  const expectedS = s12! / speedMps + speedMps / accelerationMps2;
  expect(Math.abs(trajectory.durationS / expectedS - 1), `time of ${row}`).toBeLessThan(RELATIVE_TIME_TOLERANCE);
  for (const tS of [trajectory.durationS - 1e-9, trajectory.durationS, trajectory.durationS + 60]) {
    expect(chordM(trajectory.at(tS), via[1]!), `end of ${row}`).toBeLessThan(POSITION_TOLERANCE_M);
  }
}

function isLong(row: string): boolean {
  return Number(row.trim().split(/\s+/)[6]) > 200_000;
}

describe('Karney, Test set for geodesics (2010)', () => {
  it.each(QUOTED)('quoted row: direct and inverse problem, and a go along it: %s', (row) => {
    expectRow(row);
    expectGo(row);
  });

  it.skipIf(!existsSync(TABLE))('geodtest-100.dat: direct and inverse problem, and a go along every long row', () => {
    const rows = readFileSync(TABLE, 'utf8').trim().split('\n');
    for (const row of rows) {
      expectRow(row);
      if (isLong(row)) expectGo(row);
    }
    expect(rows.filter(isLong).length).toBeGreaterThan(50);
  });
});
