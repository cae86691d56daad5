import type { HostCommand } from './host-schema.js';
import { type PlaceholderName, placeholdersIn } from './placeholders.js';

/** The placeholders that a host's command and environment name. */
export function placeholdersOf({ command, environment }: HostCommand): PlaceholderName[] {
  const texts = [...command, ...Object.values(environment).filter((value) => value !== null)];
  return [...new Set(texts.flatMap(placeholdersIn))];
}
