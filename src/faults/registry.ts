import type { FaultKind } from './fault.js';
import { alteredDigits } from './kinds/altered-digits.js';
import { antennaFault } from './kinds/antenna-fault.js';
import { backlog } from './kinds/backlog.js';
import { badChecksum } from './kinds/bad-checksum.js';
import { binaryBetween } from './kinds/binary-between.js';
import { bitErrors } from './kinds/bit-errors.js';
import { blankFields } from './kinds/blank-fields.js';
import { bunchedDelivery } from './kinds/bunched-delivery.js';
import { checksumForm } from './kinds/checksum-form.js';
import { cutThenDollar } from './kinds/cut-then-dollar.js';
import { defaultDate } from './kinds/default-date.js';
import { endlessLine } from './kinds/endless-line.js';
import { falseSky } from './kinds/false-sky.js';
import { fewInView } from './kinds/few-in-view.js';
import { fixFlap } from './kinds/fix-flap.js';
import { frozenPosition } from './kinds/frozen-position.js';
import { garbageBytes } from './kinds/garbage-bytes.js';
import { halfFilledGsv } from './kinds/half-filled-gsv.js';
import { hostOverrun } from './kinds/host-overrun.js';
import { interference } from './kinds/interference.js';
import { lineEnding } from './kinds/line-ending.js';
import { lostSentence } from './kinds/lost-sentence.js';
import { nulBytes } from './kinds/nul-bytes.js';
import { oddStatus } from './kinds/odd-status.js';
import { poorDilution } from './kinds/poor-dilution.js';
import { portLoss } from './kinds/port-loss.js';
import { portRefusal } from './kinds/port-refusal.js';
import { positionJump } from './kinds/position-jump.js';
import { repeatedEpoch } from './kinds/repeated-epoch.js';
import { restart } from './kinds/restart.js';
import { sentenceOrder } from './kinds/sentence-order.js';
import { signalLoss } from './kinds/signal-loss.js';
import { silence } from './kinds/silence.js';
import { staleSentence } from './kinds/stale-sentence.js';
import { statusConflict } from './kinds/status-conflict.js';
import { timeStep } from './kinds/time-step.js';
import { wrongSpeed } from './kinds/wrong-speed.js';
import { zeroPosition } from './kinds/zero-position.js';

/** Every kind of fault, a line each. Scenario schema, `list faults` and the engine are made from this list. */
export const FAULT_KINDS: readonly FaultKind[] = [
  alteredDigits,
  antennaFault,
  backlog,
  badChecksum,
  binaryBetween,
  bitErrors,
  blankFields,
  bunchedDelivery,
  checksumForm,
  cutThenDollar,
  defaultDate,
  endlessLine,
  falseSky,
  fewInView,
  fixFlap,
  frozenPosition,
  garbageBytes,
  halfFilledGsv,
  hostOverrun,
  interference,
  lineEnding,
  lostSentence,
  nulBytes,
  oddStatus,
  poorDilution,
  portLoss,
  portRefusal,
  positionJump,
  repeatedEpoch,
  restart,
  sentenceOrder,
  signalLoss,
  silence,
  staleSentence,
  statusConflict,
  timeStep,
  wrongSpeed,
  zeroPosition,
];
