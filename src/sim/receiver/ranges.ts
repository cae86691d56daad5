import type { ArrivingSignal } from '../signal/arriving-signal.js';
import { interSystemOffsetsM } from '../signal/inter-system.js';
import { type CorrectionWay, RangeErrors } from '../signal/range-errors.js';
import { signalsOf } from '../signal/signal-kind.js';
import type { SatelliteView } from '../sky/sky.js';
import type { SystemName } from '../sky/system.js';
import type { RangeSource } from './positioning.js';
import type { Instant, ReceiverOptions } from './receiver-options.js';
import type { Arrival } from './tracker.js';

/** Differential corrections serve so long after the last message, s (common practice). */
const OLDEST_CORRECTION_S = 60;

/** Another sender's corrections are taken once those of the last have not come for so long, s (common practice). */
const CHANGE_STATION_S = 12;

/** What makes the receiver's ranges wrong, satellite by satellite, and how it corrects them. */
export class Ranges implements RangeSource {
  readonly #options: ReceiverOptions;
  readonly #offsetsM: Readonly<Record<SystemName, number>>;
  /** By the sky's views; made when a satellite first rises. */
  readonly #errors: (RangeErrors | undefined)[] = [];
  readonly #plain: CorrectionWay;
  readonly #corrected: CorrectionWay;
  readonly #place = { latitudeRad: 0, longitudeRad: 0, heightM: 0 };
  /** Whose corrections came last, and when. */
  #corrections: { readonly atS: number; readonly station: number } | null = null;
  #nowS = 0;

  constructor(options: ReceiverOptions) {
    this.#options = options;
    this.#offsetsM = interSystemOffsetsM(options.streams, options.errors);
    const twoBands = options.settings.bands.length > 1;
    this.#plain = { differential: false, twoBands };
    this.#corrected = { differential: true, twoBands };
  }

  /** One epoch further, with or without the receiver: the world's errors go on. */
  step({ tS, gps, truth, frame }: Instant, arrivals: readonly Arrival[]): void {
    this.#nowS = tS;
    const place = this.#place;
    place.latitudeRad = frame.latitudeRad;
    place.longitudeRad = frame.longitudeRad;
    place.heightM = truth.altitudeMslM;
    for (const { view } of arrivals) this.errorsOf(view).step(view, place, gps.towS, truth.speedMps);
  }

  errorsOf(view: SatelliteView): RangeErrors {
    const known = this.#errors[view.index];
    if (known !== undefined) return known;
    const { streams, interval, errors: switches, klobuchar, settings } = this.#options;
    const { satellite } = view;
    const interSystemM = this.#offsetsM[satellite.system];
    const kinds = signalsOf(satellite.system, settings.bands);
    const made = new RangeErrors(satellite, kinds, { streams, interval, switches, klobuchar, interSystemM });
    this.#errors[view.index] = made;
    return made;
  }

  /** SBAS corrects GPS. */
  wayOf(view: SatelliteView): CorrectionWay {
    return view.satellite.system === 'gps' && this.correctionAgeS !== null ? this.#corrected : this.#plain;
  }

  /** What the range of a satellite is made of. */
  terms(view: SatelliteView, tracked: readonly ArrivingSignal[]) {
    return this.errorsOf(view).terms(tracked, this.wayOf(view));
  }

  /** A message of corrections: whoever sent the last ones is kept while it is heard. */
  correctFrom(station: number): void {
    const last = this.#corrections;
    if (last !== null && last.station !== station && this.#nowS - last.atS < CHANGE_STATION_S) return;
    this.#corrections = { atS: this.#nowS, station };
  }

  /** Power off. */
  forgetCorrections(): void {
    this.#corrections = null;
  }

  /** Age of the corrections that are used, s; null: none are. */
  get correctionAgeS(): number | null {
    if (this.#corrections === null || !this.#options.settings.sbasCorrections) return null;
    const ageS = this.#nowS - this.#corrections.atS;
    return ageS > OLDEST_CORRECTION_S ? null : ageS;
  }

  /** PRN of whoever sent the corrections; null: nobody has. */
  get station(): number | null {
    return this.#corrections?.station ?? null;
  }
}
