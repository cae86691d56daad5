import type { SentenceName } from '../emit/sentences/style.js';
import type { ModuleFacts } from './command.js';
import { sentenceNamed } from './values.js';

/**
 * The standard's query, `$ttllQ,sss*hh`: `tt` asks, `ll` is asked, for the sentence `sss` (NMEA 0183 and IEC 61162-1,
 * query sentences, from memory: whoever is asked answers with the sentence if it can; nothing is said of how soon, and
 * nothing is answered where it cannot). `ll` is the address of a device, not a choice among what it sends: asked as GP,
 * a module of several systems answers with all its GSV, each under its own talker.
 */
const QUERY = /^[A-Z][A-Z0-9]([A-Z][A-Z0-9])Q,([A-Z]{3})$/;

/** Whether a sentence's body has the form of a query. */
export function isQuery(body: string): boolean {
  return QUERY.test(body);
}

/** The sentence that a query asks this module for; null: another one is asked, or for what the module does not have. */
export function sentenceAsked(body: string, { known, talkers }: ModuleFacts): SentenceName | null {
  const [, talker, asked] = QUERY.exec(body) ?? [];
  const sentence = sentenceNamed(asked);
  if (talker === undefined || sentence === null || !talkers.includes(talker)) return null;
  return known.includes(sentence) ? sentence : null;
}
