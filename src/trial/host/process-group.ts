import { readdirSync, readFileSync } from 'node:fs';

/** How often it is looked whether a group has ended, ms. */
const LOOK_EVERY_MS = 25;
/** How long ended processes may take to be gone after SIGKILL, ms: one in a system call of a dead disk never goes. */
const KILLED_WITHIN_MS = 1000;

/**
 * A group of processes that a program of ours leads: its own children belong to it, unless they made a group for
 * themselves. No signal is sent once the group has been seen empty: its number may then be another's.
 */
export class ProcessGroup {
  readonly id: number;
  #isGone = false;

  /** @param id process id of the leader, which was started detached */
  constructor(id: number) {
    this.id = id;
  }

  /**
   * Asks all of the group to end, and ends them by force after a while.
   * @returns when none is left; true: force was needed
   */
  async end(signal: NodeJS.Signals, withinMs: number): Promise<boolean> {
    this.#send(signal);
    if (await this.#isEmptyWithin(withinMs)) return false;
    this.#send('SIGKILL');
    await this.#isEmptyWithin(KILLED_WITHIN_MS);
    this.#isGone = true;
    return true;
  }

  #send(signal: NodeJS.Signals): void {
    if (!this.#hasMembers()) return;
    try {
      process.kill(-this.id, signal);
    } catch {
      // It ended at this very moment, or belongs to somebody else by now.
    }
  }

  async #isEmptyWithin(ms: number): Promise<boolean> {
    const end = performance.now() + ms;
    while (this.#hasMembers()) {
      const left = end - performance.now();
      if (left <= 0) return false;
      await new Promise((resolve) => setTimeout(resolve, Math.min(LOOK_EVERY_MS, left)));
    }
    return true;
  }

  #hasMembers(): boolean {
    if (this.#isGone) return false;
    try {
      process.kill(-this.id, 0);
    } catch (error) {
      this.#isGone = (error as NodeJS.ErrnoException).code === 'ESRCH';
      return !this.#isGone;
    }
    // Orphans whose new parent does not collect them keep their group, though nothing of them runs.
    const running = runningIn(this.id);
    if (running === false) this.#isGone = true;
    return running !== false;
  }
}

/** Whether a process of the group runs; null where the system has no /proc. */
function runningIn(group: number): boolean | null {
  // Mostly it is the leader: the others need not be looked for then.
  if (isRunningIn(String(group), group)) return true;
  let names: string[];
  try {
    names = readdirSync('/proc');
  } catch {
    return null;
  }
  const ids = names.filter((name) => /^\d+$/.test(name));
  return ids.length === 0 ? null : ids.some((id) => isRunningIn(id, group));
}

function isRunningIn(id: string, group: number): boolean {
  try {
    // The name, in brackets, may hold anything (proc(5), /proc/pid/stat): state, parent and group follow the last one.
    const stat = readFileSync(`/proc/${id}/stat`, 'latin1');
    const [state, , itsGroup] = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
    return Number(itsGroup) === group && state !== 'Z' && state !== 'X';
  } catch {
    return false;
  }
}
