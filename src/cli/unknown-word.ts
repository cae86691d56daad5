import { LodestubError } from '../base/error.js';
import { suggest } from '../base/nearest.js';

/** The error for a word on the command line that is none of the choices. */
export function unknownWord(path: string, received: string, choices: readonly string[]): LodestubError {
  return new LodestubError({
    code: 'command.unknown-word',
    path,
    expected: choices.join(', '),
    received: JSON.stringify(received),
    hint: suggest(received, choices),
  });
}
