import { LodestubError } from '../base/error.js';
import { formatQuantity } from '../base/quantity.js';
import { MAX_BAUD, MAX_DURATION_S, MAX_SEED, MIN_BAUD } from './bounds.js';
import type { ScenarioOverrides } from './scenario.js';

/**
 * Checks what is to stand in place of a scenario's own settings, by the bounds that those have.
 * @throws LodestubError `scenario.range`, `scenario.type`, with the setting's name as the path
 */
export function checkOverrides({ seed, module, durationS, baud }: ScenarioOverrides): void {
  if (seed !== undefined && !isWhole(seed, 0, MAX_SEED)) {
    throw outOfRange('seed', `a whole number of 0 to ${MAX_SEED}`, shown(seed));
  }
  if (baud !== undefined && !isWhole(baud, MIN_BAUD, MAX_BAUD)) {
    throw outOfRange('baud', `a whole number of ${MIN_BAUD} to ${MAX_BAUD} baud`, shown(baud));
  }
  if (durationS !== undefined && !(typeof durationS === 'number' && durationS > 0 && durationS <= MAX_DURATION_S)) {
    const longest = formatQuantity(MAX_DURATION_S, 'duration');
    throw outOfRange('duration', `more than 0 s, up to ${longest}`, `${shown(durationS)} s`);
  }
  if (module !== undefined && (typeof module !== 'string' || module === '')) {
    const expected = 'the name of a module profile, or a file (with / or .yaml in it)';
    throw new LodestubError({ code: 'scenario.type', path: 'module', expected, received: shown(module) });
  }
}

/** JavaScript's callers may hand over anything. */
function isWhole(value: unknown, min: number, max: number): boolean {
  return typeof value === 'number' && Number.isInteger(value) && value >= min && value <= max;
}

function outOfRange(path: string, expected: string, received: string): LodestubError {
  return new LodestubError({ code: 'scenario.range', path, expected, received });
}

/** A value as it is, which JSON would not show of NaN. */
function shown(value: unknown): string {
  return typeof value === 'number' ? String(value) : (JSON.stringify(value) ?? String(value)).slice(0, 60);
}
