import { z } from 'zod';
import type { FaultKind } from '../faults/fault.js';
import { FAULT_KINDS } from '../faults/registry.js';
import type { ValuePath, YamlDocument } from './document.js';
import { explain, type SchemaFacts } from './explain.js';
import { readOffer } from './read.js';
import type { LiveOffer } from './scenario.js';
import { liveOffer } from './scenario-schema.js';

type Schema = ReturnType<typeof liveOffer>;

/** Made once for each list of kinds: that takes long. */
const SCHEMAS = new WeakMap<readonly FaultKind[], Schema>();

/**
 * Something to be started by hand, as a scenario's `live` has it: `{ fault, with, for }` or `{ surroundings, for }`.
 * @param where what stands for the file in messages
 * @throws LodestubError `scenario.…`
 */
export function readLiveOffer(
  value: Readonly<Record<string, unknown>>,
  where: string,
  kinds: readonly FaultKind[] = FAULT_KINDS,
): LiveOffer {
  const schema = SCHEMAS.get(kinds) ?? liveOffer(kinds);
  SCHEMAS.set(kinds, schema);
  const result = schema.safeParse(value);
  if (result.success) return readOffer(result.data, kinds);
  throw explain(documentOf(value, where), result.error.issues, (at) => factsOf(value, kinds, at));
}

/** It has no lines and columns. */
function documentOf(value: Readonly<Record<string, unknown>>, where: string): YamlDocument {
  return { file: where, subject: 'scenario', value, offsetOf: () => 0, offsetOfKey: () => 0, place: () => where };
}

/** The keys and bounds of a fault's settings, which its own schema knows. */
function factsOf(
  value: Readonly<Record<string, unknown>>,
  kinds: readonly FaultKind[],
  at: ValuePath,
): SchemaFacts | null {
  const kind = kinds.find(({ name }) => name === value.fault);
  if (at[0] !== 'with' || kind === undefined) return null;
  const schema = z.toJSONSchema(kind.settings as z.ZodType, { io: 'input', unrepresentable: 'any' });
  return { properties: (schema.properties ?? {}) as SchemaFacts['properties'] };
}
