import type { Dialect } from './command.js';
import type { DialectDefinition } from './definition.js';
import { Listener } from './listener.js';

/** A dialect that a file has described. */
export function dialectOf(definition: DialectDefinition): Dialect {
  const { name, title, echo } = definition;
  return { name, title, echo, listen: () => new Listener(definition) };
}
