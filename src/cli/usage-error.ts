import type { CommanderError } from 'commander';
import { LodestubError } from '../base/error.js';

/** What the library says of an option's or argument's value that a parser of ours has refused. */
const REFUSED =
  /^(?:option|command-argument) '(.+)' (?:argument|value) '([\s\S]*)' is invalid\. expected ([\s\S]+?)\.?$/;
const HELP = '"lodestub --help" lists commands and options.';

/** A mistake of the command line, as the library tells it, in our template; null: it is none, help was asked for. */
export function usageError({ message }: CommanderError): LodestubError | null {
  if (!message.startsWith('error: ')) return null;
  const [first = '', ...more] = message.slice('error: '.length).split('\n');
  const near = more.map((line) => line.replace(/^\((.*)\)$/, '$1')).filter((line) => line !== '');
  const hint = near.length > 0 ? near.join(' ') : HELP;
  const [, path, received, expected] = REFUSED.exec(message.slice('error: '.length)) ?? [];
  if (path !== undefined && received !== undefined && expected !== undefined) {
    return new LodestubError({ code: 'command.usage', path, expected, received });
  }
  return new LodestubError({ code: 'command.usage', summary: first.replace(/\.$/, ''), hint });
}
