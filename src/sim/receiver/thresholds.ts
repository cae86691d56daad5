import { SPEED_OF_LIGHT_MPS } from '../../base/constants.js';
import { carrierHz, type SignalKind, type SignalName } from '../signal/signal-kind.js';

/**
 * What a receiver can do at which C/N0, dB-Hz, and how long it takes. All of it is common practice of consumer
 * modules, from memory: unaided acquisition 33 to 37, aided 20 to 25, loss of track 15 to 22 dB-Hz. Demodulation,
 * which depends on the message, stands with it.
 */
export const TRACK_DBHZ = 17;

/** How much is known when a signal is searched. */
export type Aiding = 'none' | 'almanac' | 'precise' | 'handed-over';

/** What is not known of a signal: frequency, as a share of the carrier, and place in its code, m; both ways. */
interface Uncertainty {
  readonly frequencyShare: number;
  readonly codeM: number;
  /** How many of {@link DWELLS} are tried: there is no time for long ones in a wide search. */
  readonly dwells: number;
}

const UNCERTAINTY: Readonly<Record<Aiding, Uncertainty>> = {
  /** Satellite's motion 800 m/s, and an oscillator within 2.5e-6. */
  none: { frequencyShare: 800 / SPEED_OF_LIGHT_MPS + 2.5e-6, codeM: Infinity, dwells: 2 },
  /** Oscillator as last known, within 5e-7; 75 m/s of almanac, place and time. */
  almanac: { frequencyShare: 75 / SPEED_OF_LIGHT_MPS + 5e-7, codeM: Infinity, dwells: 4 },
  /** Tracked a moment ago, or ephemeris, time and place known. */
  precise: { frequencyShare: 1e-7, codeM: 30_000, dwells: 4 },
  /** Another signal of the satellite is tracked: the ionosphere is between them. */
  'handed-over': { frequencyShare: 1e-8, codeM: 150, dwells: 4 },
};

/** How long a cell is looked at, and the C/N0 at which that never and always finds the signal. */
interface Dwell {
  readonly dwellS: number;
  readonly neverDbHz: number;
  readonly alwaysDbHz: number;
}

/** The search's stages: short dwells first, since most signals are strong. */
export const DWELLS: readonly Dwell[] = [
  { dwellS: 0.05, neverDbHz: 37, alwaysDbHz: 41 },
  { dwellS: 0.1, neverDbHz: 33, alwaysDbHz: 37 },
  { dwellS: 0.3, neverDbHz: 27, alwaysDbHz: 31 },
  { dwellS: 1.2, neverDbHz: 20, alwaysDbHz: 25 },
];

/** Width of a bin of the frequency search: half a cycle in a millisecond. */
const BIN_HZ = 500;
/** Half-chip places in the code that a channel looks at in parallel. */
const PARALLEL_CELLS = 4096;
/**
 * Length of the ranging code where it is not 1 ms (Galileo OS SIS ICD 2.1, E1-B; IS-GPS-200N, moderate code of L2C;
 * from memory).
 */
const CODE_MS: Readonly<Partial<Record<SignalName, number>>> = { E1: 4, L2: 20 };

/**
 * How long one pass over the cells of a search takes, s: frequency bins times places in the code, as many at a time
 * as there are correlators, each looked at for a dwell.
 * @returns by dwell, as many as this aiding tries
 */
export function searchPasses(kind: SignalKind, aiding: Aiding): readonly number[] {
  const { frequencyShare, codeM, dwells } = UNCERTAINTY[aiding];
  const bins = Math.max(1, Math.round((2 * frequencyShare * carrierHz(kind, 0)) / BIN_HZ));
  const codeLengthM = (SPEED_OF_LIGHT_MPS / 1000) * (CODE_MS[kind.name] ?? 1);
  const places = (2 * Math.min(codeLengthM, 2 * codeM)) / kind.chipM;
  const looks = bins * Math.ceil(places / PARALLEL_CELLS);
  return DWELLS.slice(0, dwells).map(({ dwellS }) => looks * dwellS);
}

/** From lock to known bit edges (secondary code of a pilot), s; common practice. */
const SYNC_S: Readonly<Partial<Record<SignalName, number>>> = {
  /** A few tens of bits of 20 ms. */
  L1: 0.5,
  G1: 0.5,
  G2: 0.5,
  /** Five times the secondary code of 100 ms (E5: the same length). */
  E1: 0.5,
  E5a: 0.5,
  E5b: 0.5,
  /** Some rounds of the Neumann-Hoffman code of 20 ms. */
  B1: 0.4,
  B3: 0.4,
  L5: 0.3,
  B2a: 0.5,
  /** The long code has no bits, and the moderate one's length is the bit's. */
  L2: 0.2,
};

/** How long after the lock a pseudorange can be used, and bits be read, s. */
export function syncS(kind: SignalKind): number {
  // NavIC sends bits of 20 ms without a secondary code, SBAS symbols of 2 ms.
  if (kind.system === 'navic') return 0.5;
  return kind.system === 'sbas' ? 0.3 : (SYNC_S[kind.name] ?? 0.5);
}

/** How long a lost signal is still found by the precise search, s. */
export const REACQUISITION_S = 60;
