import { bytesFromLatin1 } from '../emit/line/transmission.js';
import { frame } from '../emit/sentences/checksum.js';
import { sentenceOf } from './actions.js';
import { fillBytes } from './byte-pattern.js';
import type { Reply } from './command.js';
import type { ReplyTemplate } from './definition.js';
import { buildFrame } from './frame.js';
import { fillText, type Known, textOfValue } from './template.js';

/** Replies with their values, in order. */
export function repliesOf(templates: readonly ReplyTemplate[], known: Known): Reply[] {
  const replies: Reply[] = [];
  for (const template of templates) addReplies(template, known, replies);
  return replies;
}

/** Adds one reply, one for each sentence that comes, or none where a frame would be too long. */
function addReplies(template: ReplyTemplate, known: Known, replies: Reply[]): void {
  const { kind, delayMs } = template;
  const textOf = (name: string) => textOfValue(known, name);
  switch (kind) {
    case 'sentence':
      replies.push({ kind: 'text', text: frame(fillText(template.body, textOf)), delayMs });
      break;
    case 'each-sentence':
      for (const { name, every } of known.facts.sentences) {
        const of = (key: string) => (key === 'sentence' ? name : key === 'every' ? String(every) : textOf(key));
        replies.push({ kind: 'text', text: frame(fillText(template.body, of)), delayMs });
      }
      break;
    case 'line':
      replies.push({ kind: 'binary', bytes: bytesFromLatin1(fillText(template.text, textOf) + template.end), delayMs });
      break;
    case 'frame': {
      const bytes = buildFrame(template.format, fillBytes(template.body, textOf));
      if (bytes !== null) replies.push({ kind: 'binary', bytes, delayMs });
      break;
    }
    case 'bytes':
      replies.push({ kind: 'binary', bytes: template.bytes, delayMs });
      break;
    case 'last': {
      const sentence = sentenceOf(template.sentence, known.captures, known.facts);
      if (sentence !== null) replies.push({ kind: 'sentence', sentence, delayMs });
      break;
    }
  }
}
