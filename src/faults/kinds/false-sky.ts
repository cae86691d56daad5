import { z } from 'zod';
import { SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import { quantity } from '../../base/quantity-schema.js';
import type { ArrivingSignal } from '../../sim/signal/arriving-signal.js';
import type { Band } from '../../sim/signal/signal-kind.js';
import type { AntennaFrame } from '../../sim/sky/sky.js';
import { defineFault, type SignalContext } from '../fault.js';
import { type Choice, isOfSystems, systems } from '../settings.js';

/** No place that a spoofer shows is farther away than this along an axis, m. */
const FARTHEST_M = 100_000;
/** The place that it shows where nothing is set, m to the east. */
const DEFAULT_EAST_M = 400;
/** Pulled off by metres a second, a clock does not come farther in a run, s. */
const MOST_GRADUAL_S = 0.001;
/** No clock that it shows is farther off, s. */
const LONGEST_S = 60;

/**
 * All signals come from one transmitter: of what they differ by in truth this share is left, and not over so many
 * decibels (common practice).
 */
const UNEVEN_SHARE = 0.2;
const UNEVEN_OVER_DB = 30;

const axis = (what: string) => quantity('length', { min: -FARTHEST_M, max: FARTHEST_M }).prefault('0 m').describe(what);

const SETTINGS = z
  .strictObject({
    offset: z
      .strictObject({ east: axis('to the east'), north: axis('to the north'), up: axis('upwards') })
      .optional()
      .describe(
        'how far the place that it shows is from the true one: { east: 400 m, north: -50 m, up: 0 m }; ' +
          'default: 400 m to the east, or nothing where a time is given',
      ),
    time: quantity('duration', { min: -LONGEST_S, max: LONGEST_S })
      .prefault('0 s')
      .describe(
        'by how much all its signals come later: a clock set by them falls behind by it; negative: is ahead. ' +
          'More than 1 ms only with onset at-once',
      ),
    onset: z
      .enum(['at-once', 'gradual'])
      .default('gradual')
      .describe('gradual: it begins at the true place and time and pulls off from there'),
    rate: quantity('speed', { exclusiveMin: 0, max: 100_000 })
      .prefault('5 m/s')
      .describe('with onset gradual: how fast the place moves off, and the ranges with the time'),
    power: quantity('level', { min: 0, max: 60 })
      .prefault('6 dB')
      .describe('how much stronger its signals are than the strongest true one of their band'),
    systems: systems(),
  })
  .refine(({ onset, time }) => onset === 'at-once' || Math.abs(time) <= MOST_GRADUAL_S, {
    path: ['time'],
    error: 'expected at most 1 ms with onset gradual (with onset at-once: up to 60 s)',
  })
  .transform(({ offset, ...rest }) => ({ offset: offset ?? defaultOffset(rest.time), ...rest }));

function defaultOffset(timeS: number): { east: number; north: number; up: number } {
  return { east: timeS === 0 ? DEFAULT_EAST_M : 0, north: 0, up: 0 };
}
type Settings = z.output<typeof SETTINGS>;

export const falseSky = defineFault({
  name: 'false-sky',
  title: 'Signals of a spoofer take the place of the true ones and show another place or time, at once or by and by.',
  stage: 'signal',
  settings: SETTINGS,
  goodHost:
    'Notices a jump or drift that its other sensors do not confirm, or C/N0 alike on all satellites, and warns.',
  create: (settings) => {
    const sky = new FalseSky(settings);
    return { signal: (signals, context) => sky.show(signals, context) };
  },
});

/** What a spoofer makes of the signals that arrive. */
class FalseSky {
  readonly #settings: Settings;
  readonly #distanceM: number;
  readonly #laterM: number;
  /** Of the strongest true signal by band, dB-Hz. */
  readonly #strongest: Record<Band, number> = { L1: -Infinity, L2: -Infinity, L5: -Infinity };
  /** From the true antenna to the place that is shown, ECEF, m, and how fast that grows, m/s. */
  readonly #offset: Vector = { x: 0, y: 0, z: 0 };
  readonly #offsetRate: Vector = { x: 0, y: 0, z: 0 };

  constructor(settings: Settings) {
    this.#settings = settings;
    const { east, north, up } = settings.offset;
    this.#distanceM = Math.hypot(east, north, up);
    this.#laterM = settings.time * SPEED_OF_LIGHT_MPS;
  }

  show(signals: readonly ArrivingSignal[], { sinceS, antenna }: SignalContext): void {
    const { systems: ofSystems, rate } = this.#settings;
    const isGradual = this.#settings.onset === 'gradual';
    const wayM = rate * sinceS;
    const placeShare = isGradual ? shareOf(wayM, this.#distanceM) : 1;
    const timeShare = isGradual ? shareOf(wayM, Math.abs(this.#laterM)) : 1;
    this.#turn(antenna, placeShare, placeShare < 1 ? rate / this.#distanceM : 0);
    const laterM = timeShare * this.#laterM;
    const laterMps = timeShare < 1 ? Math.sign(this.#laterM) * rate : 0;
    this.#listen(signals, ofSystems);
    for (const signal of signals) {
      const strongest = this.#strongest[signal.kind.band];
      // Where no true signal arrives, no false one does: rock is in the way of both.
      if (!isOfSystems(signal, ofSystems) || strongest === -Infinity) continue;
      const weaker = Math.max(signal.cn0DbHz - strongest, -UNEVEN_OVER_DB);
      signal.cn0DbHz = strongest + this.#settings.power + UNEVEN_SHARE * weaker;
      signal.multipathScale = 1;
      signal.detourM = 0;
      this.#range(signal, antenna, laterM, laterMps);
    }
  }

  #listen(signals: readonly ArrivingSignal[], ofSystems: Choice<ArrivingSignal['kind']['system']>): void {
    const strongest = this.#strongest;
    strongest.L1 = strongest.L2 = strongest.L5 = -Infinity;
    for (const signal of signals) {
      const { band } = signal.kind;
      if (isOfSystems(signal, ofSystems) && signal.cn0DbHz > strongest[band]) strongest[band] = signal.cn0DbHz;
    }
  }

  /** The offset in ECEF; that its axes turn while the antenna moves is below a millimetre a second. */
  #turn({ latitudeRad, longitudeRad }: AntennaFrame, share: number, sharePerS: number): void {
    const { east, north, up } = this.#settings.offset;
    const [sinLat, cosLat] = [Math.sin(latitudeRad), Math.cos(latitudeRad)];
    const [sinLon, cosLon] = [Math.sin(longitudeRad), Math.cos(longitudeRad)];
    const outward = cosLat * up - sinLat * north;
    const x = cosLon * outward - sinLon * east;
    const y = sinLon * outward + cosLon * east;
    const z = sinLat * up + cosLat * north;
    scale(this.#offset, x, y, z, share);
    scale(this.#offsetRate, x, y, z, sharePerS);
  }

  /** Distance of the satellite from the place shown less that from the true one, with what the time adds. */
  #range(signal: ArrivingSignal, { position, velocity }: AntennaFrame, laterM: number, laterMps: number): void {
    const { state } = signal.view;
    const [offset, rate] = [this.#offset, this.#offsetRate];
    const [dx, dy, dz] = [state.xM - position.xM, state.yM - position.yM, state.zM - position.zM];
    const [vx, vy, vz] = [state.vxMps - velocity.xM, state.vyMps - velocity.yM, state.vzMps - velocity.zM];
    const [fx, fy, fz] = [dx - offset.x, dy - offset.y, dz - offset.z];
    const trueM = Math.sqrt(dx * dx + dy * dy + dz * dz);
    const falseM = Math.sqrt(fx * fx + fy * fy + fz * fz);
    const trueMps = (dx * vx + dy * vy + dz * vz) / trueM;
    const falseMps = (fx * (vx - rate.x) + fy * (vy - rate.y) + fz * (vz - rate.z)) / falseM;
    signal.falseRangeM = falseM - trueM + laterM;
    signal.falseRangeRateMps = falseMps - trueMps + laterMps;
  }
}

interface Vector {
  x: number;
  y: number;
  z: number;
}

function scale(out: Vector, x: number, y: number, z: number, factor: number): void {
  out.x = x * factor;
  out.y = y * factor;
  out.z = z * factor;
}

/** How much of a way is done, [0, 1]. */
function shareOf(doneM: number, wholeM: number): number {
  return doneM >= wholeM ? 1 : doneM / wholeM;
}
