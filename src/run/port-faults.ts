import type { Bunching } from '../emit/module-profile.js';
import type { ModulePort } from '../emit/ports/port.js';
import type { PortControl, PortEffect } from '../faults/fault.js';
import type { Occurrence } from '../faults/occurrence.js';

/** What port faults act on beside the port: bytes on their way to it. */
export interface PortSurroundings {
  bunch(bunching: Bunching | null): void;
  /** How many bytes wait for a host that is not there, as the module's profile says. */
  readonly backlogBytes: number;
}

/** Lets port faults act as the host's time reaches them; the module's time may be ahead of it. */
export class PortFaults {
  readonly #control: PortControl;
  readonly #toCome: Occurrence<'port'>[] = [];
  readonly #inForce: Occurrence<'port'>[] = [];

  constructor(port: ModulePort | null, { bunch, backlogBytes }: PortSurroundings) {
    this.#control = {
      vanish: (hangUp) => port?.vanish?.(hangUp),
      comeBack: (as) => port?.comeBack?.(as),
      refuse: (isRefusing) => port?.refuse?.(isRefusing),
      bunch,
      keep: (bytes) => port?.keep?.(bytes),
    };
    if (backlogBytes > 0) port?.keep?.(backlogBytes);
  }

  add(occurrence: Occurrence<'port'>): void {
    this.#toCome.push(occurrence);
  }

  /** When the next begins or ends, ms; Infinity: none does. */
  get nextMs(): number {
    const beginsMs = this.#toCome.map(({ beginMs }) => beginMs);
    const endsMs = this.#inForce.map(({ endMs }) => endMs);
    return Math.min(...beginsMs, ...endsMs);
  }

  /** Ends and begins all that is due by `nowMs`, a time that comes, in order of time; at one instant ends come first. */
  act(nowMs: number): void {
    for (let atMs = this.nextMs; atMs <= nowMs; atMs = this.nextMs) {
      for (const over of takeFrom(this.#inForce, ({ endMs }) => endMs <= atMs)) effectOf(over).end(this.#control);
      for (const begun of takeFrom(this.#toCome, ({ beginMs }) => beginMs <= atMs)) {
        this.#inForce.push(begun);
        effectOf(begun).begin(this.#control);
      }
    }
  }
}

function effectOf(occurrence: Occurrence<'port'>): PortEffect {
  return occurrence.effect;
}

/** Takes out of a list what meets a condition. */
function takeFrom<T>(list: T[], test: (item: T) => boolean): T[] {
  const taken = list.filter(test);
  const left = list.filter((item) => !test(item));
  list.splice(0, list.length, ...left);
  return taken;
}
