import type { ModuleFacts } from '../dialect/command.js';
import type { ModuleProfile } from '../emit/module-profile.js';
import { groupTalkers } from '../emit/sentences/groups.js';
import { type SentenceName, type SentenceStyle, sentencesOf, TALKER_RULES } from '../emit/sentences/style.js';

/** What a host can set in a module. */
export interface ModuleSettings {
  readonly baud: number;
  /** Interval of navigation epochs, whole ms. */
  readonly epochMs: number;
  readonly sentences: ModuleProfile['sentences'];
}

/** A longer table is not worth its memory. */
const LONGEST_MENU = 600;

/** A module's settings as they are, as it has saved them, and as it was made. */
export class ModuleState {
  readonly #factory: ModuleSettings;
  readonly #known: readonly SentenceName[];
  readonly #talkers: readonly string[];
  #facts: ModuleFacts;
  #saved: ModuleSettings;
  #now: ModuleSettings;
  /** By the epoch's number: sentences that are due, for one period of all their rates; null where that is long. */
  #menu: readonly (readonly SentenceName[])[] | null;

  constructor({ baud, epochMs, sentences, style }: ModuleProfile) {
    this.#factory = { baud, epochMs, sentences };
    this.#known = sentencesOf(style.version);
    this.#talkers = talkersOf(style);
    this.#facts = { ...this.#factory, known: this.#known, talkers: this.#talkers };
    this.#saved = this.#factory;
    this.#now = this.#factory;
    this.#menu = menuOf(sentences);
  }

  get now(): ModuleSettings {
    return this.#now;
  }

  /** What the module's side of a dialect needs to know. */
  get facts(): ModuleFacts {
    return this.#facts;
  }

  /** Changes some settings until the next power-up. */
  change(changes: Partial<ModuleSettings>): void {
    this.#now = { ...this.#now, ...changes };
    this.#facts = { ...this.#now, known: this.#known, talkers: this.#talkers };
    this.#menu = menuOf(this.#now.sentences);
  }

  /** A sentence comes at every so many epochs, 0: never; one that did not come before comes last. */
  setSentence(name: SentenceName, every: number): void {
    const { sentences } = this.#now;
    const isThere = sentences.some((each) => each.name === name);
    const others = sentences.filter((each) => each.name !== name);
    if (every === 0) this.change({ sentences: others });
    else if (!isThere) this.change({ sentences: [...sentences, { name, every }] });
    else this.change({ sentences: sentences.map((each) => (each.name === name ? { name, every } : each)) });
  }

  /** What is set now is what the module comes up with. */
  save(): void {
    this.#saved = this.#now;
  }

  /** What was saved is forgotten: from the next power-up on the module is as it was made. */
  forget(): void {
    this.#saved = this.#factory;
  }

  /** What was not saved is lost. */
  powerUp(): void {
    this.change(this.#saved);
  }

  /** Sentences that are due at an epoch. */
  due(index: number): readonly SentenceName[] {
    const menu = this.#menu;
    return menu === null ? dueAt(index, this.#now.sentences) : (menu[index % menu.length] as readonly SentenceName[]);
  }
}

/** Under which a module can be asked for sentences: its own talkers, GN and GP. */
function talkersOf(style: SentenceStyle): string[] {
  const isByRule = (TALKER_RULES as readonly string[]).includes(style.talker);
  const own = isByRule ? groupTalkers(style) : [style.talker];
  return [...new Set([...own, 'GN', 'GP'])];
}

/** Which sentences are due at an epoch. */
function dueAt(index: number, sentences: ModuleProfile['sentences']): SentenceName[] {
  return sentences.filter(({ every }) => index % every === 0).map(({ name }) => name);
}

/** {@link dueAt} for the shortest period that all rates share; null where that is long. */
function menuOf(sentences: ModuleProfile['sentences']): SentenceName[][] | null {
  let period = 1;
  for (const { every } of sentences) {
    period = leastCommonMultiple(period, every);
    if (period > LONGEST_MENU) return null;
  }
  return Array.from({ length: period }, (_, index) => dueAt(index, sentences));
}

function leastCommonMultiple(a: number, b: number): number {
  let [x, y] = [a, b];
  while (y !== 0) [x, y] = [y, x % y];
  return (a / x) * b;
}
