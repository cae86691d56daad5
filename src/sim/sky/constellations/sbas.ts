import { GEOSTATIONARY_M, RAD_PER_DEG } from '../../../base/constants.js';
import type { GpsTime } from '../../../base/time.js';
import type { Orbit, OrbitState, Satellite } from '../orbit.js';
import { SBAS_FIRST_PRN, satelliteId } from '../system.js';
import { typicalTravelS } from '../travel-time.js';
import type { ReferenceContext } from './reference-context.js';
import { biasAtS, referenceClock } from './satellite-clock.js';
import { evenSchedule } from './schedule.js';
import { ScheduledBroadcast } from './scheduled-broadcast.js';

/** PRN and longitude, deg E, of satellites that carry or carried such a payload (as quoted, not from a standard). */
const PLACES: ReadonlyArray<readonly [prn: number, longitudeDeg: number]> = [
  [121, -5],
  [123, 31.5],
  [127, 55],
  [128, 83],
  [130, 80],
  [131, -117],
  [133, -129],
  [134, 91.5],
  [135, -125],
  [136, 5],
  [137, 145],
  [140, 95],
  [144, 140],
  [147, 42.5],
  [148, -24.8],
];

/** RTCA DO-229D (from memory): a message is used for 240 s at most in precision approach, for 360 s otherwise. */
const SCHEDULE = evenSchedule(240, 0);
const ISSUES = 256;

/** Stands still in the Earth-fixed frame. */
class FixedOrbit implements Orbit {
  constructor(private readonly positionM: readonly [number, number, number]) {}

  stateAt(_sinceStartS: number, out: OrbitState): void {
    out.xM = this.positionM[0];
    out.yM = this.positionM[1];
    out.zM = this.positionM[2];
    out.vxMps = 0;
    out.vyMps = 0;
    out.vzMps = 0;
  }
}

/** The geostationary satellites of the augmentation systems. */
export function sbasSatellites(context: ReferenceContext): Satellite[] {
  return PLACES.map(([prn, longitudeDeg]) => sbasSatellite(prn - SBAS_FIRST_PRN, longitudeDeg, context));
}

function sbasSatellite(number: number, longitudeDeg: number, { start, outOfService }: ReferenceContext): Satellite {
  const id = satelliteId('sbas', number);
  const clock = referenceClock(id, 'sbas');
  const isHealthy = !outOfService.includes(id);
  const status = isHealthy ? 'healthy' : 'unhealthy';
  const longitudeRad = longitudeDeg * RAD_PER_DEG;
  const positionM = [GEOSTATIONARY_M * Math.cos(longitudeRad), GEOSTATIONARY_M * Math.sin(longitudeRad), 0] as const;
  const still = [0, 0, 0] as const;
  return {
    id,
    system: 'sbas',
    number,
    orbitClass: 'geo',
    frequencyNumber: 0,
    orbit: new FixedOrbit(positionM),
    broadcast: new ScheduledBroadcast(start, SCHEDULE, (toe: GpsTime, index) => ({
      kind: 'state',
      id,
      system: 'sbas',
      isHealthy,
      sentAt: toe,
      toe,
      positionM,
      velocityMps: still,
      accelerationMps2: still,
      clockBiasS: biasAtS(clock, start, toe),
      clockDrift: clock.drift,
      frequencyNumber: 0,
      healthBits: isHealthy ? 0 : 1,
      age: ((index % ISSUES) + ISSUES) % ISSUES,
      accuracyM: 2,
    })),
    statusAt: () => status,
    travelS: typicalTravelS(GEOSTATIONARY_M),
  };
}
