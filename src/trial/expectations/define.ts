import type { z } from 'zod';
import type { Evidence } from '../evidence.js';
import type { ExpectationKind, Finding, Span } from '../expectation.js';

/** What settings of a shape come to. */
type SettingsOf<Shape extends z.core.$ZodLooseShape> = z.output<z.ZodObject<Shape, z.core.$strict>>;

interface Definition<Shape extends z.core.$ZodLooseShape> {
  readonly key: keyof Shape & string;
  readonly title: string;
  readonly shape: Shape;
  describe(settings: SettingsOf<Shape>): string;
  judge(settings: SettingsOf<Shape>, evidence: Evidence, windows: readonly Span[]): Finding;
}

/** Keeps a definition's types together, and hands it out as one of the registry's. */
export function defineExpectation<const Shape extends z.core.$ZodLooseShape>(
  definition: Definition<Shape>,
): ExpectationKind {
  return definition as unknown as ExpectationKind;
}
