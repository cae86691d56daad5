import type { FaultKind } from './fault.js';
import { antennaFault } from './kinds/antenna-fault.js';
import { badChecksum } from './kinds/bad-checksum.js';
import { cutThenDollar } from './kinds/cut-then-dollar.js';
import { falseSky } from './kinds/false-sky.js';
import { frozenPosition } from './kinds/frozen-position.js';
import { garbageBytes } from './kinds/garbage-bytes.js';
import { interference } from './kinds/interference.js';
import { restart } from './kinds/restart.js';
import { signalLoss } from './kinds/signal-loss.js';
import { silence } from './kinds/silence.js';

/** Every kind of fault, a line each. Scenario schema, `list faults` and the engine are made from this list. */
export const FAULT_KINDS: readonly FaultKind[] = [
  antennaFault,
  badChecksum,
  cutThenDollar,
  falseSky,
  frozenPosition,
  garbageBytes,
  interference,
  restart,
  signalLoss,
  silence,
];
