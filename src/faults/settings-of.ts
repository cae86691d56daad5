import { z } from 'zod';
import type { FaultKind } from './fault.js';

/** A setting as documentation has it: a JSON Schema of what is typed. */
export interface DocumentedSetting {
  readonly description?: string;
  readonly default?: unknown;
}

/** The settings of a kind of fault, by name. */
export function settingsOf({ settings }: Pick<FaultKind, 'settings'>): Readonly<Record<string, DocumentedSetting>> {
  return (z.toJSONSchema(settings, { io: 'input' }).properties ?? {}) as Record<string, DocumentedSetting>;
}
