import { EARTH_ROTATION_RADPS, RAD_PER_DEG } from '../../../base/constants.js';
import { addSeconds, type GpsTime, secondsBetween } from '../../../base/time.js';
import type { StateRecord } from '../broadcast-record.js';
import { InterpolatedOrbit } from '../interpolated-orbit.js';
import type { OrbitState, Satellite } from '../orbit.js';
import { satelliteId } from '../system.js';
import { typicalTravelS } from '../travel-time.js';
import { DRACONIC_PERIOD_S, GLONASS_NODE_RATE_RADPS, GLONASS_RADIUS_M, GlonassOrbit } from './glonass-orbit.js';
import { turnedRad } from './mean-motion.js';
import type { ReferenceContext } from './reference-context.js';
import { REFERENCE_DAY } from './reference-day.js';
import { biasAtS, referenceClock } from './satellite-clock.js';
import { glonassSchedule, type Schedule } from './schedule.js';
import { ScheduledBroadcast } from './scheduled-broadcast.js';

/**
 * GLONASS ICD 5.1, 3.3.1: slots 1 to 8, 9 to 16 and 17 to 24 in three planes 120 deg apart, 45 deg between neighbours
 * (a higher slot stands behind a lower one), 15 deg from plane to plane.
 */
const SLOTS_A_PLANE = 8;
const PLANE_DEG = 120;
const SLOT_DEG = 45;
const PLANE_SHIFT_DEG = 15;

/** Place of slot 1 on {@link REFERENCE_DAY}: east longitude of the ascending node and argument of latitude. */
const FIRST_NODE_LONGITUDE_DEG = 52.7;
const FIRST_LATITUDE_ARGUMENT_DEG = 133.6;

/**
 * Frequency number of each slot: satellites that stand opposite to each other share one. Source: broadcast messages of
 * 2020-06-25; slot 22, silent then, as its opposite one.
 */
const FREQUENCY_NUMBERS = [1, -4, 5, 6, 1, -4, 5, 6, -2, -7, 0, -1, -2, -7, 0, -1, 4, -3, 3, 2, 4, -3, 3, 2] as const;

/** The 24 satellites of the GLONASS constellation. */
export function glonassSatellites(context: ReferenceContext): Satellite[] {
  const schedule = glonassSchedule(context.leap);
  return FREQUENCY_NUMBERS.map((frequencyNumber, index) =>
    glonassSatellite(index + 1, frequencyNumber, schedule, context),
  );
}

function glonassSatellite(
  slot: number,
  frequencyNumber: number,
  schedule: Schedule,
  { start, outOfService }: ReferenceContext,
): Satellite {
  const id = satelliteId('glonass', slot);
  const isHealthy = !outOfService.includes(id);
  const status = isHealthy ? 'healthy' : 'unhealthy';
  const clock = referenceClock(id, 'glonass');
  const orbit = orbitOf(slot, start);
  return {
    id,
    system: 'glonass',
    number: slot,
    orbitClass: 'meo',
    frequencyNumber,
    orbit: new InterpolatedOrbit(() => orbit),
    broadcast: new ScheduledBroadcast(
      start,
      schedule,
      (toe): StateRecord => ({
        kind: 'state',
        id,
        system: 'glonass',
        isHealthy,
        sentAt: addSeconds(toe, -schedule.leadS),
        toe,
        ...stateOf(orbit, secondsBetween(toe, start)),
        accelerationMps2: [0, 0, 0],
        clockBiasS: biasAtS(clock, start, toe),
        clockDrift: clock.drift,
        frequencyNumber,
        healthBits: isHealthy ? 0 : 1,
        age: 0,
        accuracyM: 0,
      }),
    ),
    statusAt: () => status,
    travelS: typicalTravelS(GLONASS_RADIUS_M),
  };
}

function orbitOf(slot: number, start: GpsTime): GlonassOrbit {
  const plane = Math.floor((slot - 1) / SLOTS_A_PLANE);
  const inPlane = slot - 1 - plane * SLOTS_A_PLANE;
  const nodeDeg = FIRST_NODE_LONGITUDE_DEG + plane * PLANE_DEG;
  const argumentDeg = FIRST_LATITUDE_ARGUMENT_DEG - inPlane * SLOT_DEG + plane * PLANE_SHIFT_DEG;
  const sinceS = secondsBetween(start, REFERENCE_DAY);
  const turned = turnedRad(GLONASS_NODE_RATE_RADPS - EARTH_ROTATION_RADPS, sinceS);
  return new GlonassOrbit(
    nodeDeg * RAD_PER_DEG + turned,
    argumentDeg * RAD_PER_DEG + (2 * Math.PI * (sinceS % DRACONIC_PERIOD_S)) / DRACONIC_PERIOD_S,
  );
}

const state: OrbitState = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };

function stateOf(orbit: GlonassOrbit, sinceStartS: number): Pick<StateRecord, 'positionM' | 'velocityMps'> {
  orbit.stateAt(sinceStartS, state);
  return {
    positionM: [state.xM, state.yM, state.zM],
    velocityMps: [state.vxMps, state.vyMps, state.vzMps],
  };
}
