import { z } from 'zod';
import type { FaultKind } from '../faults/fault.js';
import { FAULT_KINDS } from '../faults/registry.js';
import { DIALECT_SCHEMA } from './dialect-schema.js';
import { MODULE_FILE_SCHEMA } from './module-schema.js';
import { scenarioSchema } from './scenario-schema.js';

/** A JSON Schema (draft 2020-12) as a plain object. */
export type JsonSchema = Readonly<Record<string, unknown>>;

/** The JSON Schema of a scenario file, generated from the definition that validates it. */
export function scenarioJsonSchema(kinds: readonly FaultKind[] = FAULT_KINDS): JsonSchema {
  return { title: 'Lodestub scenario', ...z.toJSONSchema(scenarioSchema(kinds), { io: 'input' }) };
}

/** The JSON Schema of a module profile's file, generated from the definition that validates it. */
export function moduleJsonSchema(): JsonSchema {
  return { title: 'Lodestub module profile', ...z.toJSONSchema(MODULE_FILE_SCHEMA, { io: 'input' }) };
}

/** The JSON Schema of a dialect's file, generated from the definition that validates it. */
export function dialectJsonSchema(): JsonSchema {
  return { title: 'Lodestub dialect', ...z.toJSONSchema(DIALECT_SCHEMA, { io: 'input' }) };
}
