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
  /** Hands something to the line; `sent` is called once it has gone out whole. */
  submit(readyMs: number, items: readonly Transmission[], sent?: () => void): void;
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

/** A module that has so much to do does not take on more. */
const MOST_PENDING = 64;

/** Once a reply was lost, what was to follow it happens all the same after so long, ms. */
const REPLY_LOST_MS = 10_000;

/** The module's ear: what comes from the host is understood by the dialect, answered, and done. */
export class Hearing {
  readonly #profile: Pick<Module, 'dialect' | 'speedSearch'>;
  readonly #listener: HostListener;
  readonly #reach: Reach;
  #isSearching = false;

  constructor(profile: Pick<Module, 'dialect' | 'speedSearch'>, reach: Reach) {
    this.#profile = profile;
    this.#listener = profile.dialect.listen();
    this.#reach = reach;
  }

  /** Bytes have come. */
  take(bytes: Uint8Array, nowMs: number): void {
    const { power, state } = this.#reach;
    power.standBy(false);
    if (this.#profile.dialect.echo) this.#reach.submit(nowMs, [newBytes(this.#reach.epoch(), bytes, 'echo', [])]);
    for (const command of this.#listener.take(bytes, nowMs, state.now)) {
      if (command.verdict === 'done' || command.verdict === 'refused') this.#isSearching = false;
      this.#obey(command, nowMs);
    }
  }

  /** Power was off. */
  reset(): void {
    this.#listener.reset();
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

  #obey(command: Command, nowMs: number): void {
    const { agenda } = this.#reach;
    const { replies, actions, actAfter } = command;
    const isBusy = agenda.length >= MOST_PENDING && replies.length + actions.length > 0;
    this.#reach.note(command, isBusy);
    if (isBusy) return;
    let hasActed = false;
    const act = () => {
      if (hasActed) return;
      hasActed = true;
      for (const action of actions) this.#act(action);
    };
    const lastMs = Math.max(...replies.map(({ delayMs }) => delayMs));
    const last = replies.findIndex(({ delayMs }) => delayMs === lastMs);
    const isAwaited = actAfter === 'reply' && last >= 0 && actions.length > 0;
    for (const [place, reply] of replies.entries()) {
      this.#reply(reply, nowMs, isAwaited && place === last ? act : undefined);
    }
    if (actions.length === 0) return;
    if (isAwaited) agenda.add(nowMs + lastMs + REPLY_LOST_MS, act);
    else if (actAfter === 'reply' || actAfter === 0) act();
    else agenda.add(nowMs + actAfter, act);
  }

  #reply(reply: Reply, nowMs: number, sent?: () => void): void {
    const { agenda, epoch, submit, write } = this.#reach;
    const readyMs = nowMs + reply.delayMs;
    if (reply.kind === 'sentence') {
      // What it says is as of when it is said.
      agenda.add(readyMs, () => {
        const sentences = write(reply.sentence);
        if (sentences.length === 0) sent?.();
        else submit(readyMs, sentences, sent);
      });
      return;
    }
    const item =
      reply.kind === 'text' ? newSentence(epoch(), reply.text, null, []) : newBytes(epoch(), reply.bytes, 'reply', []);
    submit(readyMs, [item], sent);
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
