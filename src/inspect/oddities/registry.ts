import { ODDITIES_OF_FIX } from './of-fix.js';
import { ODDITIES_OF_LINE } from './of-line.js';
import { ODDITIES_OF_SATELLITES } from './of-satellites.js';
import { ODDITIES_OF_SENTENCES } from './of-sentences.js';
import { ODDITIES_OF_TIME } from './of-time.js';
import type { Recogniser } from './recogniser.js';

/** Everything of the list of field failures that is recognised in a stream alone. */
export const ODDITIES: readonly Recogniser[] = [
  ...ODDITIES_OF_FIX,
  ...ODDITIES_OF_TIME,
  ...ODDITIES_OF_LINE,
  ...ODDITIES_OF_SENTENCES,
  ...ODDITIES_OF_SATELLITES,
];

/** The rest of that list: what a stream alone does not show, and why. */
export const UNSEEN_IN_A_STREAM: Readonly<Record<string, string>> = {
  'unplug-unnoticed': 'the stream shows silence; that the device went is on the port’s side',
  'unplug-fatal': 'the stream shows silence; the hang-up is on the port’s side',
  'new-name': 'the stream shows silence; the name is the port’s',
  'reopen-refused': 'the stream goes on; the refusal meets another opening',
  'read-split': 'how a host’s reads cut the stream is not in the stream',
  'echo-of-host': 'what the host wrote is not known here',
  'control-lines': 'the stream shows a restart; that opening the port caused it is not in it',
};
