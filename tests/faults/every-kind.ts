import type { FaultKind } from '../../src/faults/fault.js';
import { FAULT_KINDS } from '../../src/faults/registry.js';

/** An entry of a timeline as a scenario has it. */
export type Entry = Readonly<Record<string, unknown>>;

/** Every kind at random times, each with the settings that it has by itself; what ends by itself takes no `for`. */
export function everyKindByChance(chance: string, length: string, until: string): Entry[] {
  return FAULT_KINDS.map((kind) => ({ at: '0 s', chance, until, ...lasting(kind, length), fault: kind.name }));
}

/** Every kind from the same instant on, for so long. */
export function everyKindAtOnce(at: string, length: string): Entry[] {
  return FAULT_KINDS.map((kind) => ({ at, ...lasting(kind, length), fault: kind.name }));
}

function lasting({ lengthS }: FaultKind, length: string): Entry {
  return lengthS === undefined ? { for: length } : {};
}
