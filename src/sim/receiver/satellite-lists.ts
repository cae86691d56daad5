import type { RangeTerms, SatelliteInView, SatelliteTruth, SignalInView } from '../epoch.js';
import type { ArrivingSignal } from '../signal/arriving-signal.js';
import type { Arrival } from './tracker.js';

/**
 * A satellite as it truly is, with the receiver's state for it.
 * @param signals all of the epoch
 * @param range null: it is not tracked
 */
export function truthOf(
  { satellite, view, from, count }: Arrival,
  tS: number,
  signals: readonly ArrivingSignal[],
  range: RangeTerms | null,
): SatelliteTruth {
  const isSeen = satellite.state !== 'hidden';
  const bySignal: Record<string, { cn0DbHz: number | null }> = {};
  for (let i = from; i < from + count; i++) {
    const { kind, cn0DbHz } = signals[i] as ArrivingSignal;
    bySignal[kind.name] = { cn0DbHz: isSeen && Number.isFinite(cn0DbHz) ? cn0DbHz : null };
  }
  return {
    id: satellite.id,
    azimuthDeg: view.azimuthDeg,
    elevationDeg: view.elevationDeg,
    state: satellite.state,
    orbit: satellite.orbit(tS),
    signals: bySignal,
    range: isSeen ? range : null,
  };
}

const NONE: readonly SignalInView[] = [];

/** One signal or two; written out, since an array that grows takes room for many, and there are thousands a second. */
function signalsInView(locked: readonly ArrivingSignal[]): readonly SignalInView[] {
  const [first, second] = [locked[0], locked[1]];
  if (first === undefined) return NONE;
  const one = { kind: first.kind, cn0DbHz: first.cn0DbHz };
  return second === undefined ? [one] : [one, { kind: second.kind, cn0DbHz: second.cn0DbHz }];
}

/**
 * Satellites that the receiver tracks, or predicts above the horizon; direction only where the orbit is known.
 * @param canPredict time and place are known
 */
export function inViewOf(arrivals: readonly Arrival[], tS: number, canPredict: boolean): SatelliteInView[] {
  const list: SatelliteInView[] = [];
  for (const { satellite, view, locked } of arrivals) {
    const isTracked = satellite.state === 'tracking' || satellite.state === 'used';
    const isPredicted = canPredict && satellite.orbit(tS) !== 'none';
    if (!isTracked && !isPredicted) continue;
    const signals = isTracked ? signalsInView(locked) : NONE;
    list.push({
      id: satellite.id,
      azimuthDeg: isPredicted ? view.azimuthDeg : null,
      elevationDeg: isPredicted ? view.elevationDeg : null,
      cn0DbHz: signals[0]?.cn0DbHz ?? null,
      signals,
    });
  }
  return list;
}
