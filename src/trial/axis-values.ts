import type { AxisValues } from './matrix.js';
import type { TrialCase } from './trial.js';

/** A case's values of the axes, as text. */
export function axisValuesOf({ scenario, module, seed, faults }: TrialCase): AxisValues {
  return { scenario, module, seed: `${seed}`, faults };
}
