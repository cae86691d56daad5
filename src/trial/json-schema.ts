import { z } from 'zod';
import { TRIAL_SCHEMA } from './trial-schema.js';

/** The JSON Schema of a trial's file (draft 2020-12), generated from the definition that validates it. */
export function trialJsonSchema(): Readonly<Record<string, unknown>> {
  return { title: 'Lodestub trial', ...z.toJSONSchema(TRIAL_SCHEMA, { io: 'input', unrepresentable: 'any' }) };
}
