import { bytesFromLatin1 } from '../emit/line/transmission.js';
import { checksum } from '../emit/sentences/checksum.js';
import { actionsOf } from './actions.js';
import { matchBytes } from './byte-pattern.js';
import type { Command, ModuleFacts, Verdict } from './command.js';
import type { ChecksumPolicy, CommandTemplate, DialectDefinition, Objections, ReplyTemplate } from './definition.js';
import { type Matched, matchPiece, matchSentence } from './pattern.js';
import { isQuery, sentenceAsked } from './query.js';
import { repliesOf } from './replies.js';
import type { Known } from './template.js';
import { readCaptures } from './values.js';

/** What came whole, and the module as it is. */
interface Heard {
  readonly bytes: Uint8Array;
  readonly facts: ModuleFacts;
  /** {@link Known.fields} */
  readonly fields: readonly string[];
}

const NOTHING: Known['captures'] = new Map();

/** What is no command at all. */
export function noise(bytes: Uint8Array): Command {
  return { bytes, verdict: 'noise', name: null, replies: [], actions: [], actAfter: 0 };
}

/** How a sentence's checksum is. */
type Sum = 'right' | 'wrong' | 'absent';

/** A sentence. @param text without the dollar sign and the line's end */
export function understandSentence(
  definition: DialectDefinition,
  text: string,
  bytes: Uint8Array,
  facts: ModuleFacts,
): Command {
  const star = text.lastIndexOf('*');
  const body = star < 0 ? text : text.slice(0, star);
  const sum: Sum = star < 0 ? 'absent' : text.slice(star + 1).toUpperCase() === checksum(body) ? 'right' : 'wrong';
  const fields = body.split(',');
  const heard = { bytes, facts, fields };
  const { queryDelayMs, address, sentences, sentenceObjections } = definition;
  if (queryDelayMs !== null && isQuery(body)) return answerQuery(definition, body, sum, queryDelayMs, heard);
  let isDamaged = !passes(sum, definition.checksum);
  const reading = new Reading(definition, heard);
  for (const command of sentences) {
    const matched = matchSentence(command.pattern, fields);
    if (matched === null) continue;
    isDamaged = !passes(sum, command.checksum);
    if (!isDamaged && reading.isDone(command, matched)) break;
  }
  const isMeant = text.startsWith(address);
  return reading.result ?? objection(isDamaged, sentenceObjections, isMeant, heard);
}

/** A line of text that is no sentence. @param text without start and end */
export function understandLine(
  definition: DialectDefinition,
  text: string,
  bytes: Uint8Array,
  facts: ModuleFacts,
): Command {
  const { commands, objections } = definition.lines as NonNullable<DialectDefinition['lines']>;
  const heard = { bytes, facts, fields: [text] };
  const reading = new Reading(definition, heard);
  for (const command of commands) {
    const matched: Matched = new Map();
    if (matchPiece(command.pattern, text, matched) && reading.isDone(command, matched)) break;
  }
  return reading.result ?? objection(false, objections, true, heard);
}

/** A binary frame, whole. */
export function understandFrame(
  definition: DialectDefinition,
  { commands, objections }: DialectDefinition['frames'][number],
  body: Uint8Array,
  isRight: boolean,
  bytes: Uint8Array,
  facts: ModuleFacts,
): Command {
  const heard = { bytes, facts, fields: Array.from(body.subarray(0, FRAME_FIELDS), String) };
  if (!isRight) return objection(true, objections, true, heard);
  const reading = new Reading(definition, heard);
  for (const command of commands) {
    const matched = matchBytes(command.pattern, body);
    if (matched !== null && reading.isDone(command, matched)) break;
  }
  return reading.result ?? objection(false, objections, true, heard);
}

/** Bytes of a frame's body that a reply may repeat. */
const FRAME_FIELDS = 9;

/** Goes through the commands that match: the first whose values are all allowed is done, else the first is refused. */
class Reading {
  readonly #definition: DialectDefinition;
  readonly #heard: Heard;
  result: Command | null = null;

  constructor(definition: DialectDefinition, heard: Heard) {
    this.#definition = definition;
    this.#heard = heard;
  }

  isDone(template: CommandTemplate, matched: Matched): boolean {
    const { bytes, facts, fields } = this.#heard;
    const captures = readCaptures(matched, template.captures);
    const actions = captures === null ? null : actionsOf(template.actions, captures, facts, this.#definition.limits);
    const { name } = template;
    const known = { captures: captures ?? NOTHING, facts, command: name, fields };
    if (actions === null) {
      this.result ??= answer(bytes, 'refused', name, repliesOf(template.refusals, known));
      return false;
    }
    const replies = repliesOf(template.replies, known);
    this.result = { bytes, verdict: 'done', name, replies, actions, actAfter: template.actAfter };
    return true;
  }
}

function answerQuery(
  definition: DialectDefinition,
  body: string,
  sum: Sum,
  delayMs: number,
  { bytes, facts }: Heard,
): Command {
  if (!passes(sum, definition.checksum)) return answer(bytes, 'bad-checksum', 'query', []);
  const sentence = sentenceAsked(body, facts);
  if (sentence === null) return answer(bytes, 'refused', 'query', []);
  return answer(bytes, 'done', 'query', [{ kind: 'sentence', sentence, delayMs }]);
}

function passes(sum: Sum, policy: ChecksumPolicy): boolean {
  return sum === 'right' || policy === 'none' || (sum === 'absent' && policy === 'optional');
}

/** Something that is no command, or a damaged one. */
function objection(
  isDamaged: boolean,
  { unknown, wrongChecksum }: Objections,
  isMeant: boolean,
  { bytes, facts, fields }: Heard,
): Command {
  const templates: readonly ReplyTemplate[] = isMeant ? (isDamaged ? wrongChecksum : unknown) : [];
  const known: Known = { captures: NOTHING, facts, command: null, fields };
  const replies = repliesOf(templates, known);
  // A host or a line that sends all back would else be answered for ever.
  const isOwn = replies.some((reply) => isSaid(reply, bytes));
  return answer(bytes, isDamaged ? 'bad-checksum' : 'unknown', null, isOwn ? [] : replies);
}

/** Whether bytes are just what a reply says, but for the ends of lines. */
function isSaid(reply: Command['replies'][number], bytes: Uint8Array): boolean {
  if (reply.kind === 'sentence') return false;
  const said = reply.kind === 'text' ? bytesFromLatin1(reply.text) : reply.bytes;
  return withoutLineEnd(said) === withoutLineEnd(bytes);
}

function withoutLineEnd(bytes: Uint8Array): string {
  return String.fromCharCode(...bytes).replace(/[\r\n]+$/, '');
}

function answer(bytes: Uint8Array, verdict: Verdict, name: string | null, replies: Command['replies']): Command {
  return { bytes, verdict, name, replies, actions: [], actAfter: 0 };
}
