import { RAD_PER_DEG } from '../../base/constants.js';
import type { Heard } from '../../grammar/heard-epoch.js';
import type { Place } from '../../statistics/distance-m.js';
import { levelOffset } from '../../statistics/local-offset.js';
import type { AgreementPart, PlacePair } from '../consistency-report.js';
import type { Item } from '../inspect-report.js';
import { MINUTE_M, placesIn } from '../oddities/recogniser.js';
import { Occurrences, type Section } from '../section.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { Tally } from '../tally.js';
import { agreementItem } from './agreement-item.js';

/** Distances are kept up to here, m. */
const FARTHEST_M = 10_000;
/** So many of the epochs apart, and one place is the other's of an epoch before. */
const LATE_SHARE = 0.8;
const LEAST_LATE = 5;

/** A place as a sentence tells it. */
interface Told extends Place {
  readonly name: string;
  readonly timeOfDayMs: number | null;
  readonly heard: Heard;
}

/** Compares the places that the sentences of an epoch tell. */
export class AgreementSection implements Section<AgreementPart> {
  readonly #pairs = new Map<string, Pair>();
  readonly #clock: StreamClock;
  #before: readonly Told[] = [];

  constructor(clock: StreamClock) {
    this.#clock = clock;
  }

  epoch({ epoch }: TimedEpoch): void {
    if (epoch.isValid !== true) {
      this.#before = [];
      return;
    }
    const [first, ...others] = placesIn(epoch).map(toldBy);
    for (const other of others) {
      // Those of two epochs are told of as such, with the times.
      if (first === undefined || first.timeOfDayMs === null || other.timeOfDayMs !== first.timeOfDayMs) continue;
      this.#pair(first.name, other.name).add(first, other, this.#before, () => {
        this.#pair(first.name, other.name).examples.add(other.heard.piece, epoch);
      });
    }
    this.#before = first === undefined ? [] : [first, ...others];
  }

  #pair(first: string, second: string): Pair {
    const key = `${first} ${second}`;
    const pair = this.#pairs.get(key) ?? new Pair(first, second, new Occurrences(this.#clock));
    this.#pairs.set(key, pair);
    return pair;
  }

  finish(): { part: AgreementPart; items: Item[] } {
    const part = { places: [...this.#pairs.values()].map((pair) => pair.figures()) };
    return { part, items: [agreementItem(part)] };
  }
}

/** Gathers what one sentence tells against another. */
class Pair {
  readonly examples: Occurrences;
  readonly #names: readonly [string, string];
  readonly #apartM = new Tally(0.01);
  readonly #eastM = new Tally(0.01);
  readonly #northM = new Tally(0.01);
  #epochs = 0;
  readonly #late = [0, 0];

  constructor(first: string, second: string, examples: Occurrences) {
    this.#names = [first, second];
    this.examples = examples;
  }

  add(first: Told, second: Told, before: readonly Told[], apart: () => void): void {
    this.#epochs += 1;
    if (isSame(first, second)) return;
    const { eastM, northM } = levelOffset(first, second);
    this.#apartM.add(Math.min(FARTHEST_M, Math.hypot(eastM, northM)));
    this.#eastM.add(within(eastM));
    this.#northM.add(within(northM));
    const [of, other] = this.#names.map((name) => before.find((each) => each.name === name));
    if (other !== undefined && isSame(first, other)) this.#late[0]! += 1;
    if (of !== undefined && isSame(second, of)) this.#late[1]! += 1;
    apart();
  }

  figures(): PlacePair {
    const apart = this.#apartM.count;
    const isLate = (count: number) => count >= LEAST_LATE && count >= LATE_SHARE * apart;
    const late = this.#names.filter((_, place) => isLate(this.#late[place] as number));
    return {
      first: this.#names[0],
      second: this.#names[1],
      epochs: this.#epochs,
      apart,
      medianM: this.#apartM.percentile(50),
      largestM: this.#apartM.percentile(100),
      eastM: this.#eastM.percentile(50),
      northM: this.#northM.percentile(50),
      // Where both are, it goes to and fro, and nobody is late.
      late: late.length === 1 ? (late[0] as string) : null,
      examples: this.examples.examples,
    };
  }
}

function toldBy(heard: ReturnType<typeof placesIn>[number]): Told {
  const { of, timeOfDayMs, latitudeDeg, longitudeDeg } = heard.decoded;
  return {
    name: of,
    timeOfDayMs,
    latitudeDeg: latitudeDeg as number,
    longitudeDeg: longitudeDeg as number,
    heard,
  };
}

/** Where the latitude stands, from 0. */
const LATITUDE_AT: Readonly<Record<string, number>> = { RMC: 2, GGA: 1, GNS: 1, GLL: 0 };

/** What the last digit of a place is worth, m. */
function digitM({ name, heard }: Told): number {
  const field = heard.sentence.fields[LATITUDE_AT[name] as number] ?? '';
  return MINUTE_M / 10 ** (field.split('.')[1]?.length ?? 0);
}

/**
 * Whether two places may be one, written with their decimals. One may be cut and the other rounded, so that each
 * direction may differ by a unit of both last digits.
 */
function isSame(one: Told, other: Told): boolean {
  if (one.latitudeDeg === other.latitudeDeg && one.longitudeDeg === other.longitudeDeg) return true;
  const { eastM, northM } = levelOffset(one, other);
  const mostM = digitM(one) + digitM(other);
  return Math.abs(northM) <= mostM && Math.abs(eastM) <= mostM * Math.cos(one.latitudeDeg * RAD_PER_DEG) + ROUNDING_M;
}

/** What arithmetic leaves at a pole, m. */
const ROUNDING_M = 1e-3;

function within(value: number): number {
  return Math.max(-FARTHEST_M, Math.min(FARTHEST_M, value));
}
