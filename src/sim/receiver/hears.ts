import { signalsOf } from '../signal/signal-kind.js';
import type { SystemName } from '../sky/system.js';
import type { ReceiverSettings } from './settings.js';

/** True where a receiver tracks a system: it may, and takes in a band that the system sends on. */
export function hears({ systems, bands }: Pick<ReceiverSettings, 'systems' | 'bands'>, system: SystemName): boolean {
  return (systems === null || systems.includes(system)) && signalsOf(system, bands).length > 0;
}
