import type { z } from 'zod';
import { RandomStreams } from '../../src/base/random.js';
import type { FaultKind, SignalContext, SignalEffect } from '../../src/faults/fault.js';
import type { ArrivingSignal } from '../../src/sim/signal/arriving-signal.js';
import { type Band, signalsOf } from '../../src/sim/signal/signal-kind.js';
import type { SatelliteView } from '../../src/sim/sky/sky.js';
import { systemOf } from '../../src/sim/sky/system.js';
import { viewAt } from '../sim/signal/sky-of.js';

/** On the equator at the prime meridian: east is y, north z, up x. */
export const ANTENNA = {
  position: { xM: 6_378_137, yM: 0, zM: 0 },
  velocity: { xM: 0, yM: 0, zM: 0 },
  latitudeRad: 0,
  longitudeRad: 0,
};

export const AT_BEGIN: SignalContext = { tS: 10, sinceS: 0, leftS: Infinity, antenna: ANTENNA };

/** The signals of satellites at 45 dB-Hz each unless `cn0DbHz` says otherwise, in the bands given. */
export function signalsFrom(
  ids: readonly string[],
  bands: readonly Band[] = ['L1'],
  cn0DbHz: (id: string) => number = () => 45,
): ArrivingSignal[] {
  return ids.flatMap((id, index) => arriving(viewAt(index * 37, 10 + index * 9, id, index), bands, cn0DbHz(id)));
}

/** All signals of one satellite. */
export function arriving(view: SatelliteView, bands: readonly Band[], cn0DbHz: number): ArrivingSignal[] {
  const { id } = view.satellite;
  return signalsOf(systemOf(id), bands).map((kind) => ({
    id,
    kind,
    azimuthDeg: view.azimuthDeg,
    elevationDeg: view.elevationDeg,
    view,
    cn0DbHz,
    multipathScale: 1,
    detourM: 0,
    falseRangeM: 0,
    falseRangeRateMps: 0,
  }));
}

/** One occurrence of a signal fault with settings as a scenario has them. */
export function effectOf(kind: FaultKind, settings: unknown = {}, seed = 1): SignalEffect {
  const parsed = (kind.settings as z.ZodType).parse(settings);
  return kind.create(parsed, new RandomStreams(seed).stream('fault/1.1')) as SignalEffect;
}

export function levels(signals: readonly ArrivingSignal[]): number[] {
  return signals.map(({ cn0DbHz }) => cn0DbHz);
}
