import { GaussMarkov, type RandomStreams } from '../../base/random.js';
import type { AntennaKind } from '../receiver/settings.js';
import type { SatelliteView } from '../sky/sky.js';
import type { ArrivingSignal } from './arriving-signal.js';
import { LinkBudget } from './link-budget.js';

/** What stands around the antenna. */
export type Surroundings = 'open' | 'tunnel';

/** Time in which slow fading (ground reflections, scintillation of the pattern) forgets itself, s: common practice. */
const FADING_CORRELATION_S = 60;

/** Signals arriving from every satellite above the horizon. */
export class Signals {
  readonly #budget: LinkBudget;
  /** By the satellite's place in the sky. */
  readonly #fading: (GaussMarkov | undefined)[] = [];
  readonly #pool: MutableSignal[] = [];

  constructor(
    antenna: AntennaKind,
    private readonly streams: RandomStreams,
    private readonly intervalS: number,
  ) {
    this.#budget = new LinkBudget(antenna);
  }

  /**
   * What arrives at this epoch, a signal for each of `views` that is above the horizon, in their order.
   * The objects are filled anew at the next call.
   */
  arriving(views: readonly SatelliteView[], surroundings: Surroundings, out: ArrivingSignal[]): void {
    out.length = 0;
    for (const view of views) {
      if (!view.isUp) continue;
      const signal = this.#fromPool(out.length);
      signal.id = view.satellite.id;
      signal.view = view;
      const fading = this.#fadingOf(view);
      const openSky = this.#budget.cn0DbHz(view.sinElevation, fading.unit);
      // A tunnel's rock lets nothing through that a receiver could find (tens of dB of it: common practice).
      signal.cn0DbHz = surroundings === 'tunnel' ? -Infinity : openSky;
      out.push(signal);
    }
  }

  #fadingOf({ index, satellite }: SatelliteView): GaussMarkov {
    const fading = this.#fading[index];
    if (fading !== undefined) {
      fading.step();
      return fading;
    }
    const fresh = new GaussMarkov(this.streams.stream(`fading/${satellite.id}`), FADING_CORRELATION_S, this.intervalS);
    this.#fading[index] = fresh;
    return fresh;
  }

  #fromPool(index: number): MutableSignal {
    let signal = this.#pool[index];
    if (signal === undefined) {
      signal = new MutableSignal();
      this.#pool[index] = signal;
    }
    return signal;
  }
}

class MutableSignal implements ArrivingSignal {
  id = '';
  cn0DbHz = -Infinity;
  view!: SatelliteView;

  get azimuthDeg(): number {
    return this.view.azimuthDeg;
  }

  get elevationDeg(): number {
    return this.view.elevationDeg;
  }
}
