import { GaussMarkov, type RandomStreams, type SampleInterval } from '../../base/random.js';
import type { Satellite } from '../sky/orbit.js';
import type { SatelliteView } from '../sky/sky.js';
import type { Surroundings } from '../surroundings.js';
import type { AntennaKind } from './antenna.js';
import type { ArrivingSignal } from './arriving-signal.js';
import { correlationS } from './correlation.js';
import { LinkBudget } from './link-budget.js';
import { obstructionOf } from './obstruction/index.js';
import type { AntennaMotion, Obstruction, Passage } from './obstruction/obstruction.js';
import { type Band, type SignalKind, signalsOf } from './signal-kind.js';

/** The antenna's surroundings and motion at an epoch. */
export interface AntennaState extends AntennaMotion {
  readonly surroundings: Surroundings;
}

/**
 * Slow fading (ground reflections, scintillation of the pattern): time in which it forgets itself at rest, s, and way
 * after which it is another, m (common practice).
 */
const FADING = { restS: 60, wayM: 10 };

/** What the signals of one satellite have of their fading in common, and each by itself: shares of the variance. */
const COMMON = Math.sqrt(0.8);
const OWN = Math.sqrt(0.2);

/** Signals arriving from every satellite above the horizon. */
export class Signals {
  readonly #sources: readonly Source[];
  readonly #streams: RandomStreams;
  readonly #obstructions = new Map<Surroundings, Obstruction>();
  readonly #passage: Passage = { lossDb: 0, multipathScale: 1, detourM: 0 };
  #surroundings: Surroundings | null = null;
  #obstruction!: Obstruction;

  /**
   * @param satellites in the order of the views
   * @param bands those that the receiver takes in
   */
  constructor(
    satellites: readonly Satellite[],
    antenna: AntennaKind,
    bands: readonly Band[],
    streams: RandomStreams,
    interval: SampleInterval,
  ) {
    this.#streams = streams;
    this.#sources = satellites.map((satellite) => {
      const kinds = signalsOf(satellite.system, bands);
      const ways = kinds.map((kind) => new Way(satellite.id, kind, budgetOf(kind, satellite, antenna)));
      return new Source(satellite.id, ways, streams, interval);
    });
  }

  /**
   * What arrives at this epoch: for each of `views` that is above the horizon, in their order, a signal for each kind
   * that the receiver takes in. The objects are filled anew at the next call.
   */
  arriving(views: readonly SatelliteView[], at: AntennaState, out: ArrivingSignal[]): void {
    const { speedMps, surroundings } = at;
    if (surroundings !== this.#surroundings) this.#enter(surroundings);
    const obstruction = this.#obstruction;
    obstruction.begin(at);
    const slowS = correlationS(FADING, speedMps);
    const fastS = obstruction.fading === null ? null : correlationS(obstruction.fading, speedMps);
    const passage = this.#passage;
    let count = 0;
    for (let i = 0; i < views.length; i++) {
      const view = views[i] as SatelliteView;
      if (!view.isUp) continue;
      const source = this.#sources[view.index] as Source;
      const { ways } = source;
      if (ways.length === 0) continue;
      source.step(slowS);
      obstruction.pass(view, fastS === null ? 0 : source.obstructionFade(fastS), passage);
      for (let k = 0; k < ways.length; k++) {
        const way = ways[k] as Way;
        way.fill(view, source.fade(k), passage);
        out[count++] = way;
      }
    }
    out.length = count;
  }

  #enter(surroundings: Surroundings): void {
    this.#surroundings = surroundings;
    const known = this.#obstructions.get(surroundings);
    this.#obstruction = known ?? obstructionOf(surroundings, this.#streams);
    if (known === undefined) this.#obstructions.set(surroundings, this.#obstruction);
  }
}

/** Tables that have been made: they depend on nothing but their names. */
const BUDGETS = new Map<string, LinkBudget>();

function budgetOf(kind: SignalKind, { orbitClass }: Satellite, antenna: AntennaKind): LinkBudget {
  const name = `${kind.system}/${kind.name}/${orbitClass}/${antenna}`;
  const known = BUDGETS.get(name) ?? new LinkBudget(kind, orbitClass, antenna);
  BUDGETS.set(name, known);
  return known;
}

/** One satellite's signals with what makes them fade; its streams begin when it is first seen. */
class Source {
  #common: GaussMarkov | null = null;
  #obstruction: GaussMarkov | null = null;
  readonly #own: GaussMarkov[] = [];

  constructor(
    readonly id: string,
    readonly ways: readonly Way[],
    private readonly streams: RandomStreams,
    private readonly interval: SampleInterval,
  ) {}

  /** One epoch further. */
  step(slowS: number): void {
    if (this.#common === null) {
      this.#common = this.#process(`fading/${this.id}`, slowS);
      for (const { kind } of this.ways) this.#own.push(this.#process(`fading/${this.id}/${kind.name}`, slowS));
      return;
    }
    this.#common.step(slowS);
    for (let k = 0; k < this.#own.length; k++) (this.#own[k] as GaussMarkov).step(slowS);
  }

  /** Of the k-th signal, standard normal. */
  fade(k: number): number {
    return COMMON * (this.#common as GaussMarkov).unit + OWN * (this.#own[k] as GaussMarkov).unit;
  }

  /** That of the surroundings, one epoch further, standard normal. */
  obstructionFade(fastS: number): number {
    if (this.#obstruction === null) this.#obstruction = this.#process(`obstruction/${this.id}`, fastS);
    else this.#obstruction.step(fastS);
    return this.#obstruction.unit;
  }

  #process(name: string, slowS: number): GaussMarkov {
    return new GaussMarkov(this.streams.stream(name), slowS, this.interval);
  }
}

/** One signal of one satellite, the same object at every epoch. */
class Way implements ArrivingSignal {
  cn0DbHz = -Infinity;
  multipathScale = 1;
  detourM = 0;
  falseRangeM = 0;
  falseRangeRateMps = 0;
  azimuthDeg = 0;
  elevationDeg = 0;
  view!: SatelliteView;

  constructor(
    readonly id: string,
    readonly kind: SignalKind,
    private readonly budget: LinkBudget,
  ) {}

  /** @param fade of slow fading, standard normal */
  fill(view: SatelliteView, fade: number, { lossDb, multipathScale, detourM }: Passage): void {
    this.view = view;
    this.azimuthDeg = view.azimuthDeg;
    this.elevationDeg = view.elevationDeg;
    this.cn0DbHz = this.budget.cn0DbHz(view.sinElevation, fade) - lossDb;
    this.multipathScale = multipathScale;
    this.detourM = detourM;
    this.falseRangeM = 0;
    this.falseRangeRateMps = 0;
  }
}
