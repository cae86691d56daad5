import type { Action, Command, HostListener, Reply } from '../dialect/command.js';
import { newBytes, newSentence, type Transmission } from '../emit/line/transmission.js';
import type { SentenceName } from '../emit/sentences/style.js';
import type { Module } from '../scenario/scenario.js';
import type { Agenda } from './agenda.js';
import type { ModuleState } from './module-state.js';
import type { Power } from './power.js';

/** What of the module a command can reach. */
export interface Reach {
  readonly state: ModuleState;
  readonly agenda: Agenda;
  readonly power: Power;
  /** Hands something to the line; `sent` is called once the last of it has gone out whole. */
  submit(readyMs: number, items: readonly Transmission[], sent?: () => void): void;
  /** What was to be called for an item is not. */
  giveUp(item: Transmission): void;
  /** The last epoch's sentences of a kind. */
  write(name: SentenceName): Transmission[];
  /** Number of the last epoch. */
  epoch(): number;
  /** Settings have changed. */
  changed(): void;
  /** A command, and whether the module had too much to do for it. */
  note(command: Command, isBusy: boolean): void;
  /** What time it is, ms. */
  nowMs(): number;
}

/** A module that has so many replies and actions before it does not take on more. */
const MOST_PENDING = 64;

/** Once a reply was lost, what was to follow it happens all the same after so long, ms. */
const REPLY_LOST_MS = 10_000;

interface Awaited {
  readonly lostMs: number;
  readonly once: () => void;
}

const CR = 13;
const LF = 10;
const NO_BYTES = new Uint8Array();

/** The module's ear: what comes from the host is understood by the dialect, answered, and done. */
export class Hearing {
  readonly #profile: Pick<Module, 'dialect' | 'speedSearch'>;
  readonly #listener: HostListener;
  readonly #reach: Reach;
  #isSearching = false;
  #lastByte = 0;
  /** When each reply and action that is still to come is due, ms. */
  #pendingMs: number[] = [];
  /** What is to follow once a reply has gone out, and when the reply counts as lost, ms. */
  #awaited: Awaited[] = [];
  #isWatching = false;
  /** When the listener is to look at what it holds, ms. */
  #lookMs = Infinity;

  constructor(profile: Pick<Module, 'dialect' | 'speedSearch'>, reach: Reach) {
    this.#profile = profile;
    this.#listener = profile.dialect.listen();
    this.#reach = reach;
  }

  /** Bytes have come. */
  take(bytes: Uint8Array, nowMs: number): void {
    if (bytes.length === 0) return;
    // The last byte of the command that put the module to sleep does not wake it.
    const isLineEnd = bytes.length === 1 && bytes[0] === LF && this.#lastByte === CR;
    this.#lastByte = bytes[bytes.length - 1] as number;
    if (!isLineEnd) this.#reach.power.standBy(false);
    if (this.#profile.dialect.echo) {
      this.#reach.submit(nowMs, [newBytes(this.#reach.epoch(), bytes.slice(), 'echo', [])]);
    }
    this.#listen(bytes, nowMs);
  }

  /** Power was off. */
  reset(): void {
    this.#listener.reset();
    this.#isSearching = false;
    this.#pendingMs = [];
    this.#awaited = [];
    this.#isWatching = false;
    this.#lookMs = Infinity;
  }

  /** Goes through the speeds until a command is understood at one. */
  searchSpeed(nowMs: number): void {
    const search = this.#profile.speedSearch;
    if (search === null) return;
    this.#isSearching = true;
    const { state, agenda } = this.#reach;
    const at = (step: number) => {
      if (!this.#isSearching) return;
      state.change({ baud: search.speedsBaud[step % search.speedsBaud.length] as number });
      this.#reach.changed();
      agenda.add(nowMs + (step + 1) * search.dwellMs, () => at(step + 1));
    };
    at(0);
  }

  #listen(bytes: Uint8Array, nowMs: number): void {
    const { power, state } = this.#reach;
    for (const command of this.#listener.take(bytes, nowMs, state.facts)) {
      if (command.verdict === 'done' || command.verdict === 'refused') this.#isSearching = false;
      this.#obey(command, nowMs);
      // What came behind a reset is lost in it.
      if (!power.isOn) return;
    }
    const { dueMs } = this.#listener;
    if (dueMs >= this.#lookMs) return;
    this.#lookMs = dueMs;
    this.#reach.agenda.add(dueMs, () => {
      if (this.#lookMs !== dueMs) return;
      this.#lookMs = Infinity;
      this.#listen(NO_BYTES, dueMs);
    });
  }

  #obey(command: Command, nowMs: number): void {
    const { agenda } = this.#reach;
    const { replies, actions, actAfter } = command;
    if (this.#isBusy(replies.length + actions.length, nowMs)) {
      this.#reach.note(command, true);
      return;
    }
    this.#reach.note(command, false);
    const act = () => {
      for (const action of actions) this.#act(action);
    };
    const lastMs = replies.reduce((latest, { delayMs }) => Math.max(latest, delayMs), 0);
    const last = replies.findLastIndex(({ delayMs }) => delayMs === lastMs);
    const isAwaited = actAfter === 'reply' && last >= 0 && actions.length > 0;
    for (const [place, reply] of replies.entries()) {
      this.#pendingMs.push(nowMs + reply.delayMs);
      this.#reply(reply, nowMs, isAwaited && place === last ? act : undefined);
    }
    if (actions.length === 0 || isAwaited) return;
    if (actAfter === 'reply' || actAfter === 0) {
      act();
      return;
    }
    this.#pendingMs.push(nowMs + actAfter);
    agenda.add(nowMs + actAfter, act);
  }

  /** Whether the module has too much before it for so many replies and actions more. */
  #isBusy(more: number, nowMs: number): boolean {
    const waiting = this.#awaited.length;
    if (more === 0 || this.#pendingMs.length + waiting < MOST_PENDING) return false;
    this.#pendingMs = this.#pendingMs.filter((dueMs) => dueMs >= nowMs);
    return this.#pendingMs.length + waiting >= MOST_PENDING;
  }

  /** @param then what follows once the reply has gone out, or was lost */
  #reply(reply: Reply, nowMs: number, then?: () => void): void {
    const { agenda, epoch, submit, write } = this.#reach;
    const readyMs = nowMs + reply.delayMs;
    if (reply.kind === 'sentence') {
      // What it says is as of when it is said.
      agenda.add(readyMs, () => {
        const sentences = write(reply.sentence);
        if (then === undefined) submit(readyMs, sentences);
        else if (sentences.length === 0) then();
        else this.#submitAwaited(readyMs, sentences, then);
      });
      return;
    }
    const item =
      reply.kind === 'text' ? newSentence(epoch(), reply.text, null, []) : newBytes(epoch(), reply.bytes, 'reply', []);
    if (then === undefined) submit(readyMs, [item]);
    else this.#submitAwaited(readyMs, [item], then);
  }

  /** Hands something to the line, and does `then` once: when it has gone out, or long after where it was lost. */
  #submitAwaited(readyMs: number, items: readonly Transmission[], then: () => void): void {
    const last = items.at(-1) as Transmission;
    const awaited = {
      lostMs: readyMs + REPLY_LOST_MS,
      once: () => {
        const place = this.#awaited.indexOf(awaited);
        if (place < 0) return;
        this.#awaited.splice(place, 1);
        this.#reach.giveUp(last);
        then();
      },
    };
    this.#awaited.push(awaited);
    this.#reach.submit(readyMs, items, awaited.once);
    this.#watch();
  }

  /** Looks after replies that may be lost; one entry of the agenda does for all. */
  #watch(): void {
    if (this.#isWatching || this.#awaited.length === 0) return;
    this.#isWatching = true;
    const atMs = this.#awaited.reduce((first, { lostMs }) => Math.min(first, lostMs), Infinity);
    this.#reach.agenda.add(atMs, () => {
      this.#isWatching = false;
      for (const { once } of this.#awaited.filter(({ lostMs }) => lostMs <= atMs)) once();
      this.#watch();
    });
  }

  #act(action: Action): void {
    const { state, power, changed } = this.#reach;
    switch (action.do) {
      case 'set-interval':
        state.change({ epochMs: action.epochMs });
        changed();
        break;
      case 'set-baud':
        state.change({ baud: action.baud });
        changed();
        break;
      case 'set-sentence':
        state.setSentence(action.sentence, action.every);
        break;
      case 'set-sentences':
        state.change({ sentences: action.sentences });
        break;
      case 'start':
        power.restartReceiver(action.start);
        break;
      case 'reset':
        power.fail(this.#reach.nowMs(), 0, action.start, []);
        break;
      case 'standby':
        power.standBy(true);
        break;
      case 'save':
        state.save();
        break;
      case 'forget':
        state.forget();
        break;
    }
  }
}
