import type { Bunching } from '../emit/module-profile.js';
import type { ModulePort, PortDeed } from '../emit/ports/port.js';
import type { PortControl } from '../faults/fault.js';
import type { Occurrence } from '../faults/occurrence.js';
import { vainDeeds } from './port-deeds.js';

/** A fault begins, of which the port cannot do all: what it leaves undone. */
export interface VainEvent {
  readonly event: 'cannot';
  /** The occurrence's id and kind. */
  readonly fault: string;
  readonly kind: string;
  readonly deeds: readonly PortDeed[];
}

/** What port faults act on beside the port: bytes on their way to it. */
export interface PortSurroundings {
  /** Delivery in bunches; null: as the module's profile says. */
  bunch(bunching: Bunching | null): void;
  inVain?(event: VainEvent): void;
  /** How many bytes wait for a host that is not there, as the module's profile says. */
  readonly backlogBytes: number;
}

/** A fault in force, and what it asks of the port. */
interface Demand {
  readonly occurrence: Occurrence<'port'>;
  isAway: boolean;
  isRefusing: boolean;
  bunching: Bunching | null;
  keepBytes: number;
}

/**
 * Lets port faults act as the host's time reaches them; the module's time may be ahead of it. Where several are in
 * force, the port is away, or refuses hosts, until the last that asks for it is over; it comes back under another name
 * if any of those that kept it away asks for one; bunches are those of the fault that began last; the longest backlog
 * counts.
 */
export class PortFaults {
  readonly #port: ModulePort | null;
  readonly #surroundings: PortSurroundings;
  readonly #toCome: Occurrence<'port'>[] = [];
  /** In the order in which they began. */
  readonly #demands: Demand[] = [];
  /** Any of those that have kept the port away asks for another name. */
  #isRenamed = false;
  #isRefusing = false;
  #bunching: Bunching | null = null;
  #keepBytes: number;

  constructor(port: ModulePort | null, surroundings: PortSurroundings) {
    this.#port = port;
    this.#surroundings = surroundings;
    this.#keepBytes = surroundings.backlogBytes;
    if (this.#keepBytes > 0) port?.keep?.(this.#keepBytes);
  }

  /** A fault will begin, or has just begun. */
  add(occurrence: Occurrence<'port'>): void {
    this.#toCome.push(occurrence);
  }

  /** When the next begins or ends, ms; Infinity: none does. */
  get nextMs(): number {
    let nextMs = Infinity;
    for (const { beginMs } of this.#toCome) nextMs = Math.min(nextMs, beginMs);
    for (const { occurrence } of this.#demands) nextMs = Math.min(nextMs, occurrence.endMs);
    return nextMs;
  }

  /** Ends and begins all that is due by `nowMs`, in order of time; at one instant ends come first. */
  act(nowMs: number): void {
    for (let atMs = this.nextMs; atMs <= nowMs; atMs = this.nextMs) {
      for (const demand of this.#demands.filter(({ occurrence }) => occurrence.endMs <= atMs)) this.#end(demand);
      for (const occurrence of takeDue(this.#toCome, atMs)) this.#begin(occurrence);
    }
  }

  #begin(occurrence: Occurrence<'port'>): void {
    // Cleared by hand before it had begun.
    if (occurrence.endMs <= occurrence.beginMs) return;
    const demand = { occurrence, isAway: false, isRefusing: false, bunching: null, keepBytes: 0 };
    this.#demands.push(demand);
    const { id, kind, effect } = occurrence;
    const deeds = vainDeeds(this.#port, effect);
    if (deeds.length > 0) this.#surroundings.inVain?.({ event: 'cannot', fault: id, kind, deeds });
    effect.begin(this.#controlOf(demand));
  }

  #end(demand: Demand): void {
    this.#demands.splice(this.#demands.indexOf(demand), 1);
    demand.occurrence.effect.end(this.#controlOf(demand));
  }

  /** What one fault may ask for: it takes back only what it has asked for itself. */
  #controlOf(demand: Demand): PortControl {
    return {
      vanish: (hangUp) => {
        demand.isAway = true;
        // Of a port that is away already: hosts that wait are hung up.
        this.#port?.vanish?.(hangUp);
      },
      comeBack: (as) => {
        demand.isAway = false;
        this.#isRenamed ||= as === 'other';
        if (this.#demands.some(({ isAway }) => isAway)) return;
        this.#port?.comeBack?.(this.#isRenamed ? 'other' : 'same');
        this.#isRenamed = false;
      },
      refuse: (isRefusing) => {
        demand.isRefusing = isRefusing;
        this.#refuse();
      },
      bunch: (bunching) => {
        demand.bunching = bunching;
        this.#bunch();
      },
      keep: (bytes) => {
        demand.keepBytes = bytes;
        this.#keep();
      },
    };
  }

  #refuse(): void {
    const isRefusing = this.#demands.some((demand) => demand.isRefusing);
    if (isRefusing === this.#isRefusing) return;
    this.#isRefusing = isRefusing;
    this.#port?.refuse?.(isRefusing);
  }

  #bunch(): void {
    const bunching = this.#demands.findLast((demand) => demand.bunching !== null)?.bunching ?? null;
    if (bunching === this.#bunching) return;
    this.#bunching = bunching;
    this.#surroundings.bunch(bunching);
  }

  #keep(): void {
    const keepBytes = Math.max(this.#surroundings.backlogBytes, ...this.#demands.map((demand) => demand.keepBytes));
    if (keepBytes === this.#keepBytes) return;
    this.#keepBytes = keepBytes;
    this.#port?.keep?.(keepBytes);
  }
}

/** Takes out of a list what begins by a time, in order of rank: as the timeline has it. */
function takeDue(list: Occurrence<'port'>[], atMs: number): Occurrence<'port'>[] {
  const due = list.filter(({ beginMs }) => beginMs <= atMs).sort((a, b) => a.beginMs - b.beginMs || a.rank - b.rank);
  const left = list.filter(({ beginMs }) => beginMs > atMs);
  list.splice(0, list.length, ...left);
  return due;
}
