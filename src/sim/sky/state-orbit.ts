import { EARTH_ROTATION_RADPS, GM_EARTH_M3PS2, PZ90_J2, PZ90_SEMI_MAJOR_M } from '../../base/constants.js';
import { type GpsTime, secondsBetween } from '../../base/time.js';
import type { StateRecord } from './broadcast-record.js';
import type { Orbit, OrbitState } from './orbit.js';

/** Length of an integration step, s (GLONASS ICD 5.1, A.3.1.2 leaves it open; solvers commonly take 60 s). */
const STEP_S = 60;
/** x, y, z in m and their rates in m/s. */
const FIELDS = 6;
/** Half an hour: what a record is used for, in steps. */
const USUAL_STEPS = 30;

/**
 * Orbit that follows from a broadcast state.
 *
 * GLONASS: the equations of motion in the Earth-fixed frame (two-body, second zonal harmonic, rotation; lunisolar
 * acceleration constant), integrated from the record's time by the classical fourth-order Runge-Kutta method in steps
 * of 60 s and one last part step. The steps' states are kept, so that each is computed once; any time may be asked for.
 * SBAS: a polynomial of second degree.
 * Sources: GLONASS ICD 5.1, A.3.1.2 (simplified algorithm); RTCA DO-229D, A.4.4.11.
 */
export class StateOrbit implements Orbit {
  readonly #record: StateRecord;
  /** The record's time, seconds after the scenario's start. */
  readonly #toeS: number;
  readonly #later: Steps | null;
  readonly #earlier: Steps | null;

  constructor(record: StateRecord, start: GpsTime) {
    this.#record = record;
    this.#toeS = secondsBetween(record.toe, start);
    const isIntegrated = record.system === 'glonass';
    this.#later = isIntegrated ? new Steps(record, STEP_S) : null;
    this.#earlier = isIntegrated ? new Steps(record, -STEP_S) : null;
  }

  stateAt(sinceStartS: number, out: OrbitState): void {
    const tS = sinceStartS - this.#toeS;
    const steps = tS < 0 ? this.#earlier : this.#later;
    if (steps === null) polynomial(this.#record, tS, out);
    else steps.stateAt(tS, out);
  }
}

function polynomial({ positionM, velocityMps, accelerationMps2 }: StateRecord, tS: number, out: OrbitState): void {
  const half = (tS * tS) / 2;
  out.xM = positionM[0] + velocityMps[0] * tS + accelerationMps2[0] * half;
  out.yM = positionM[1] + velocityMps[1] * tS + accelerationMps2[1] * half;
  out.zM = positionM[2] + velocityMps[2] * tS + accelerationMps2[2] * half;
  out.vxMps = velocityMps[0] + accelerationMps2[0] * tS;
  out.vyMps = velocityMps[1] + accelerationMps2[1] * tS;
  out.vzMps = velocityMps[2] + accelerationMps2[2] * tS;
}

/** The states after each whole step in one direction of time. */
class Steps {
  #states = new Float64Array((USUAL_STEPS + 1) * FIELDS);
  #known = 0;

  constructor(
    private readonly record: StateRecord,
    private readonly stepS: number,
  ) {
    this.#states.set(record.positionM, 0);
    this.#states.set(record.velocityMps, 3);
  }

  stateAt(tS: number, out: OrbitState): void {
    const { stepS, record } = this;
    const whole = Math.floor(tS / stepS);
    if (whole > this.#known) this.#extend(whole);
    const at = whole * FIELDS;
    for (let i = 0; i < FIELDS; i++) work[i] = this.#states[at + i] as number;
    const restS = tS - whole * stepS;
    if (restS !== 0) advance(work, restS, record.accelerationMps2);
    out.xM = work[0] as number;
    out.yM = work[1] as number;
    out.zM = work[2] as number;
    out.vxMps = work[3] as number;
    out.vyMps = work[4] as number;
    out.vzMps = work[5] as number;
  }

  #extend(whole: number): void {
    const needed = (whole + 1) * FIELDS;
    if (needed > this.#states.length) {
      const longer = new Float64Array(Math.max(needed, this.#states.length * 2));
      longer.set(this.#states);
      this.#states = longer;
    }
    while (this.#known < whole) {
      const from = this.#known * FIELDS;
      for (let i = 0; i < FIELDS; i++) work[i] = this.#states[from + i] as number;
      advance(work, this.stepS, this.record.accelerationMps2);
      this.#states.set(work, from + FIELDS);
      this.#known++;
    }
  }
}

const work = new Float64Array(FIELDS);
const probe = new Float64Array(FIELDS);
const slope = new Float64Array(FIELDS);
const sum = new Float64Array(FIELDS);

/** One Runge-Kutta step of `stepS`, in place. */
function advance(state: Float64Array, stepS: number, lunisolarMps2: readonly [number, number, number]): void {
  derivative(state, lunisolarMps2, slope);
  sum.set(slope);
  add(state, slope, stepS / 2, probe);
  derivative(probe, lunisolarMps2, slope);
  add(sum, slope, 2, sum);
  add(state, slope, stepS / 2, probe);
  derivative(probe, lunisolarMps2, slope);
  add(sum, slope, 2, sum);
  add(state, slope, stepS, probe);
  derivative(probe, lunisolarMps2, slope);
  add(sum, slope, 1, sum);
  add(state, sum, stepS / 6, state);
}

/** `out = base + factor * by`. */
function add(base: Float64Array, by: Float64Array, factor: number, out: Float64Array): void {
  for (let i = 0; i < FIELDS; i++) out[i] = (base[i] as number) + factor * (by[i] as number);
}

/**
 * The equations of motion (GLONASS ICD 5.1, A.3.1.2). Earth's rotation as GPS has it, with which the printed example of
 * the CDMA general description (J.2) comes out; with PZ-90.11's rounded 7.292115e-5 rad/s it is 2 mm further off.
 */
function derivative(state: Float64Array, lunisolarMps2: readonly [number, number, number], out: Float64Array): void {
  const x = state[0] as number;
  const y = state[1] as number;
  const z = state[2] as number;
  const vx = state[3] as number;
  const vy = state[4] as number;
  const r2 = x * x + y * y + z * z;
  const central = -GM_EARTH_M3PS2 / (r2 * Math.sqrt(r2));
  const oblate = (1.5 * PZ90_J2 * PZ90_SEMI_MAJOR_M * PZ90_SEMI_MAJOR_M) / r2;
  const polar = (5 * z * z) / r2;
  const across = central * (1 + oblate * (1 - polar)) + EARTH_ROTATION_RADPS * EARTH_ROTATION_RADPS;
  out[0] = vx;
  out[1] = vy;
  out[2] = state[5] as number;
  out[3] = across * x + 2 * EARTH_ROTATION_RADPS * vy + lunisolarMps2[0];
  out[4] = across * y - 2 * EARTH_ROTATION_RADPS * vx + lunisolarMps2[1];
  out[5] = central * (1 + oblate * (3 - polar)) * z + lunisolarMps2[2];
}
