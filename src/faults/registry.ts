import type { FaultKind } from './fault.js';
import { badChecksum } from './kinds/bad-checksum.js';
import { cutThenDollar } from './kinds/cut-then-dollar.js';
import { frozenPosition } from './kinds/frozen-position.js';
import { garbageBytes } from './kinds/garbage-bytes.js';
import { restart } from './kinds/restart.js';
import { signalLoss } from './kinds/signal-loss.js';
import { silence } from './kinds/silence.js';

/** Every kind of fault, a line each. Scenario schema, `list faults` and the engine are made from this list. */
export const FAULT_KINDS: readonly FaultKind[] = [
  badChecksum,
  cutThenDollar,
  frozenPosition,
  garbageBytes,
  restart,
  signalLoss,
  silence,
];
