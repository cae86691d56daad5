import { type Ecef, ecefFromGeodetic } from '../base/frames.js';
import type { Stream } from '../base/random.js';
import type { TellTale } from '../emit/line/transmission.js';
import type { Trajectory } from '../sim/trajectory/trajectory.js';

/** A tell-tale is at least so far from the whole track, m, through the Earth: 5 degrees of it. */
const FAR_M = 555_000;
/** Points of the track that are looked at; between two neighbours it may not go further than half of {@link FAR_M}. */
const POINTS = 500;
/** North and south of it there are few places of interest, deg. */
const LARGEST_LATITUDE_DEG = 75;

/**
 * The places of a track that tell-tales keep away from.
 * @param durationS of the run, s; Infinity: the track's own
 */
export function trackOf(trajectory: Trajectory, durationS: number): TellTale[] {
  const lastS = Math.min(durationS, trajectory.durationS);
  return Array.from({ length: POINTS }, (_, i) => {
    const { latitudeDeg, longitudeDeg } = trajectory.at((lastS * i) / (POINTS - 1));
    return { latitudeDeg, longitudeDeg };
  });
}

/** Of all places there are a million times as many. */
const MOST_KNOWN = 100_000;

/** Draws places that the antenna never comes near, each another one than the many before it. */
export class TellTales {
  readonly #stream: Stream;
  readonly #track: readonly Ecef[];
  #drawn = new Set<string>();
  /** Those before them. */
  #earlier: ReadonlySet<string> = new Set();

  /**
   * @param track places where the antenna is, closer to each other than half of 555 km
   * @param mostKnown so many at least are known by heart
   */
  constructor(
    stream: Stream,
    track: readonly TellTale[],
    private readonly mostKnown = MOST_KNOWN,
  ) {
    this.#stream = stream;
    this.#track = track.map(({ latitudeDeg, longitudeDeg }) =>
      ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: 0 }),
    );
  }

  next(): TellTale {
    for (;;) {
      const latitudeDeg = round((2 * this.#stream.uniform() - 1) * LARGEST_LATITUDE_DEG);
      const longitudeDeg = round((2 * this.#stream.uniform() - 1) * 180);
      const name = `${latitudeDeg}/${longitudeDeg}`;
      if (this.#drawn.has(name) || this.#earlier.has(name) || !this.#isFar({ latitudeDeg, longitudeDeg })) continue;
      if (this.#drawn.size === this.mostKnown) {
        this.#earlier = this.#drawn;
        this.#drawn = new Set();
      }
      this.#drawn.add(name);
      return { latitudeDeg, longitudeDeg };
    }
  }

  #isFar({ latitudeDeg, longitudeDeg }: TellTale): boolean {
    const there = ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: 0 });
    return this.#track.every(({ xM, yM, zM }) => Math.hypot(xM - there.xM, yM - there.yM, zM - there.zM) >= FAR_M);
  }
}

/** To a hundredth of a minute of arc: so that sentences of any number of decimals from two on tell the same place. */
function round(angleDeg: number): number {
  return Math.round(angleDeg * 6000) / 6000;
}
