/**
 * What a receiver can do at which C/N0, dB-Hz, and how long it takes. All of it is common practice of single-band
 * consumer modules, from memory: unaided acquisition 33 to 37, aided 20 to 25, demodulation 26 to 27, loss of track 15
 * to 22 dB-Hz.
 */
export const TRACK_DBHZ = 17;
export const DECODE_DBHZ = 27;

/** How much is known when a satellite is searched. */
export type Aiding = 'none' | 'almanac' | 'precise';

/** One pass over the whole search space, and the C/N0 at which a pass never and always finds the signal. */
export const SEARCH: Readonly<Record<Aiding, { passS: number; neverDbHz: number; alwaysDbHz: number }>> = {
  /** Every code phase at every Doppler shift. */
  none: { passS: 2, neverDbHz: 33, alwaysDbHz: 37 },
  /** Doppler shift known from almanac, time and place. */
  almanac: { passS: 0.6, neverDbHz: 20, alwaysDbHz: 25 },
  /** Tracked a moment ago, or ephemeris, time and place known. */
  precise: { passS: 0.2, neverDbHz: 20, alwaysDbHz: 25 },
};

/** From lock to known bit edges, s: a few tens of bits of 20 ms. */
export const BIT_SYNC_S = 0.5;

/** How long a lost satellite is still found by the precise search, s. */
export const REACQUISITION_S = 60;

/** A broadcast ephemeris serves this long after it was received, s (IS-GPS-200N, 20.3.4.4: fit interval 4 h). */
export const EPHEMERIS_LIFE_S = 4 * 3600;
