import { SECONDS_PER_WEEK } from '../../../base/constants.js';

/** What reading a message has brought. */
export interface MessageListener {
  /** The time of the week (GLONASS: of the day). */
  timeOfWeek(): void;
  /** The week or date. */
  date(): void;
  /** All parts of one data set of orbit and clock. */
  ephemeris(): void;
  /** GPS - UTC. */
  leapSeconds(): void;
  /** Almanac of a satellite, named as RINEX does. */
  almanac(id: string): void;
  /** SBAS: a complete set of corrections, and from then on each message that renews a part of it. */
  corrections(): void;
}

/** What one unit (subframe, page, string, message) brings; what is left out it does not. Parts are bits of a mask. */
export interface MessageUnit {
  readonly timeOfWeek?: true;
  readonly date?: number;
  readonly ephemeris?: number;
  readonly leapSeconds?: true;
  readonly corrections?: number;
  /** Satellites of which it bears the whole almanac. */
  readonly almanac?: readonly string[];
  /** The satellite whose almanac it ends: the part before came in the unit that begins it. */
  readonly almanacEnd?: string;
  readonly almanacBegin?: string;
}

/** When a system sends what, and what a receiver needs for reading it. */
export interface MessagePlan {
  readonly title: string;
  /** Length of a unit, s. */
  readonly unitS: number;
  /**
   * GPS time less the time at which units begin at multiples of their length, s; with `followsUtc` on top of GPS -
   * UTC.
   */
  readonly shiftS: number;
  /** The units stand still against UTC: leap seconds move them against GPS time. */
  readonly followsUtc: boolean;
  /** The units in turn; the first one begins the system's week. */
  readonly cycle: readonly MessageUnit[];
  /** Orbit and clock change so often, s, at multiples of it. */
  readonly dataSetS: number;
  /** A part of a set of corrections serves so long, s. */
  readonly correctionsLifeS: number;
  /** Orbit and clock serve so long after they were read, s. */
  readonly ephemerisLifeS: number;
  /** Below it, C/N0 of the whole signal, bits cannot be read, dB-Hz. */
  readonly decodeDbHz: number;
  /** Units in a week. */
  readonly unitsPerWeek: number;
  /** All parts that there are, as masks. */
  readonly dateParts: number;
  readonly ephemerisParts: number;
  readonly correctionsParts: number;
}

type Given = 'unitsPerWeek' | 'dateParts' | 'ephemerisParts' | 'correctionsParts' | 'followsUtc' | 'correctionsLifeS';

/** A plan, with what follows from it. */
export function messagePlan(
  given: Omit<MessagePlan, Given> & Partial<Pick<MessagePlan, 'followsUtc' | 'correctionsLifeS'>>,
): MessagePlan {
  const parts = (of: (unit: MessageUnit) => number | undefined) =>
    given.cycle.reduce((mask, unit) => mask | (of(unit) ?? 0), 0);
  return {
    followsUtc: false,
    correctionsLifeS: Infinity,
    ...given,
    unitsPerWeek: Math.round(SECONDS_PER_WEEK / given.unitS),
    dateParts: parts(({ date }) => date),
    ephemerisParts: parts(({ ephemeris }) => ephemeris),
    correctionsParts: parts(({ corrections }) => corrections),
  };
}

/** Mask of the part with a number, from 1. */
export function part(number: number): number {
  return 1 << (number - 1);
}

/** `length` items, made from their places, from 0. */
export function sequence<T>(length: number, item: (place: number) => T): T[] {
  return Array.from({ length }, (_, place) => item(place));
}
