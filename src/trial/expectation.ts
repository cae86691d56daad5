import type { z } from 'zod';
import type { Evidence } from './evidence.js';

/** A time of the case, [beginMs, endMs), simulated ms. */
export interface Span {
  readonly beginMs: number;
  readonly endMs: number;
}

/** A moment that speaks for or against the host. */
export interface Moment {
  readonly atMs: number;
  /** What was so, a clause without a full stop: `12.4 m off, 10 m allowed`. */
  readonly what: string;
  /** The report that shows it; null: none does. */
  readonly report: number | null;
  /** When the sentence began that it is about, simulated ms; left out: it is about none. */
  readonly sentenceMs?: number;
}

/** What a judge finds. `untested`: nothing in the evidence could tell; it counts as failed. */
export interface Finding {
  readonly verdict: 'passed' | 'failed' | 'untested';
  /** What was found, with figures and units, a clause without a full stop: `95 % within 4.2 m, 10 m allowed`. */
  readonly reason: string;
  /** What was held against the limit, in its own unit; null: there is no such figure. */
  readonly measured: number | null;
  /** How many times it could be tested: reports, losses, tell-tales. */
  readonly tests: number;
  /** The worst moments first, ten at most; of a finding that has passed none. */
  readonly moments: readonly Moment[];
}

/** A kind of expectation: what `key: value` means, and who judges it. One file each in `expectations/`. */
export interface ExpectationKind<Settings = unknown> {
  /** The key that it has in a trial's file: `position`. */
  readonly key: string;
  /** `Position error`. */
  readonly title: string;
  /** Its own keys, `key` among them. */
  readonly shape: z.core.$ZodLooseShape;
  /** In words, with its figures: `position within 15 m, 95 %, against the truth`. */
  describe(settings: Settings): string;
  /** @param windows times that count, in order and apart from each other; never empty */
  judge(settings: Settings, evidence: Evidence, windows: readonly Span[]): Finding;
}

/** Where and when an expectation counts: keys that each kind has. Times in seconds. */
export interface WindowSettings {
  readonly fromS: number | null;
  readonly toS: number | null;
  /** Id, entry's name or kind of a fault, or name of surroundings: only while it is in force. */
  readonly during: string | null;
}

/** An expectation of a trial. */
export interface Expectation {
  /** What it is called: the trial's own words, or the kind's description. */
  readonly name: string;
  readonly kind: ExpectationKind;
  readonly settings: unknown;
  readonly window: WindowSettings;
  /** For which cases: values by axis (`faults`, `module`, `scenario`, `seed`); an axis without values is free. */
  readonly only: Readonly<Record<string, readonly string[]>>;
}
