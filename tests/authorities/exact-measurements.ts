import { EARTH_ROTATION_RADPS, SPEED_OF_LIGHT_MPS } from '../../src/base/constants.js';
import { type Ecef, ecefFromGeodetic, geodeticFromEcef } from '../../src/base/frames.js';
import { PUBLISHED_LEAP_SECONDS } from '../../src/base/leap-seconds.js';
import { addSeconds, type GpsTime, utcFromGps } from '../../src/base/time.js';
import type { Epoch, Observation } from '../../src/sim/epoch.js';
import { groupDelayS } from '../../src/sim/receiver/group-delay.js';
import { type Band, carrierHz, signalsOf } from '../../src/sim/signal/signal-kind.js';
import type { Satellite } from '../../src/sim/sky/orbit.js';
import { satelliteClock } from '../../src/sim/sky/satellite-clock.js';

/** An antenna that goes round in a circle. */
export interface CirclingAntenna {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  readonly heightM: number;
  readonly speedMps: number;
}

/** Where it is at a time; northward and eastward alike, which is near enough to a circle here. */
export function placeAt({ latitudeDeg, longitudeDeg, heightM, speedMps }: CirclingAntenna, tS: number): Ecef {
  const turnS = 600;
  const radiusDeg = (speedMps * turnS) / (2 * Math.PI) / 111_000;
  const angle = (2 * Math.PI * tS) / turnS;
  return ecefFromGeodetic({
    latitudeDeg: latitudeDeg + radiusDeg * Math.sin(angle),
    longitudeDeg: longitudeDeg + radiusDeg * Math.cos(angle),
    heightM: heightM + 5 * Math.sin(angle),
  });
}

/** What errs in exact measurements: the receiver's clock alone. */
export interface ExactOptions {
  readonly start: GpsTime;
  readonly bands: readonly Band[];
  readonly clockBiasS: number;
  readonly elevationMaskDeg: number;
}

/**
 * Measurements as an ideal receiver makes them, straight from the definition: the light is followed back from the
 * antenna to where the satellite was, in an inertial frame, and the satellite's clock read there.
 */
export function exactEpoch(
  satellites: readonly Satellite[],
  tS: number,
  place: Ecef,
  { start, bands, clockBiasS, elevationMaskDeg }: ExactOptions,
): Epoch {
  const observations: Observation[] = [];
  for (const satellite of satellites) {
    const { travelS, elevationDeg } = lightPath(satellite, tS, place);
    if (elevationDeg < elevationMaskDeg) continue;
    const record = satellite.broadcast.recordAt(tS - travelS);
    const clockS = satelliteClock(record, tS - travelS, start).offsetS;
    for (const kind of signalsOf(satellite.system, bands)) {
      const rangeM = SPEED_OF_LIGHT_MPS * (travelS + clockBiasS - clockS);
      observations.push({
        id: satellite.id,
        kind,
        frequencyNumber: satellite.frequencyNumber,
        pseudorangeM: rangeM + SPEED_OF_LIGHT_MPS * groupDelayS(record, kind),
        carrierCycles: (rangeM / SPEED_OF_LIGHT_MPS) * carrierHz(kind, satellite.frequencyNumber),
        dopplerHz: 0,
        cn0DbHz: 45,
        isFresh: tS === 0,
      });
    }
  }
  const { latitudeDeg, longitudeDeg, heightM } = geodeticFromEcef(place);
  const gpsTime = addSeconds(start, tS);
  const truth = { latitudeDeg, longitudeDeg, heightEllipsoidM: heightM };
  return {
    index: tS,
    atMs: tS * 1000,
    gpsTime,
    utc: utcFromGps(gpsTime, PUBLISHED_LEAP_SECONDS),
    truth,
    receiverClock: { biasS: clockBiasS, driftSps: 0 },
    observations,
  } as unknown as Epoch;
}

/** Travel time, s, and elevation, deg, of the light that arrives at `tS`. */
function lightPath(satellite: Satellite, tS: number, place: Ecef): { travelS: number; elevationDeg: number } {
  const state = { xM: 0, yM: 0, zM: 0, vxMps: 0, vyMps: 0, vzMps: 0 };
  let travelS = 0.08;
  let elevationDeg = -90;
  for (let pass = 0; pass < 5; pass++) {
    satellite.orbit.stateAt(tS - travelS, state);
    const turn = EARTH_ROTATION_RADPS * travelS;
    const dx = state.xM * Math.cos(turn) + state.yM * Math.sin(turn) - place.xM;
    const dy = state.yM * Math.cos(turn) - state.xM * Math.sin(turn) - place.yM;
    const dz = state.zM - place.zM;
    const rangeM = Math.hypot(dx, dy, dz);
    const { latitudeDeg, longitudeDeg } = geodeticFromEcef(place);
    const [lat, lon] = [(latitudeDeg * Math.PI) / 180, (longitudeDeg * Math.PI) / 180];
    const up = Math.cos(lat) * (Math.cos(lon) * dx + Math.sin(lon) * dy) + Math.sin(lat) * dz;
    elevationDeg = (Math.asin(up / rangeM) * 180) / Math.PI;
    travelS = rangeM / SPEED_OF_LIGHT_MPS;
  }
  return { travelS, elevationDeg };
}
