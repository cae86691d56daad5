import { printable } from '../base/visible.js';
import type { SentenceVersion } from '../emit/sentences/style.js';
import type { Heard } from './heard-epoch.js';
import { checkLine } from './line-check.js';
import type { Say } from './rule.js';
import { RULES, type RuleByCount } from './rules/all-rules.js';
import { OTHER_FORMATTERS, STANDARD_TALKERS, VARIANT_TALKERS } from './rules/known.js';
import type { Sentence } from './sentence.js';
import type { Violation } from './violation.js';

/** How sentences are judged. */
export interface GrammarOptions {
  /** The version that the module is meant to speak; left out: any. */
  readonly version?: SentenceVersion;
  /** Formatters that have been told of as unknown: each is told of once. Left out: every time. */
  readonly told?: Set<string>;
}

const NO_OPTIONS: GrammarOptions = {};
const NOTHING: readonly Violation[] = [];

/**
 * What is wrong with a sentence by itself, in versions 2.1 to 4.11. A sentence that came damaged is not judged field
 * by field; of proprietary sentences and queries only the line is. What several sentences show is up to GroupCheck.
 */
export function violationsOf(heard: Heard, options: GrammarOptions = NO_OPTIONS): readonly Violation[] {
  let found: Violation[] | null = null;
  const { piece, sentence } = heard;
  const add = (code: Violation['code'], what: string, field: string | null) => {
    found ??= [];
    found.push({ code, line: piece.line, offset: piece.offset, what, field });
  };
  const isWhole = checkLine(heard, (code, what) => add(code, what, null));
  if (!isWhole || sentence.start === '!') return found ?? NOTHING;
  if (sentence.kind === 'unknown') {
    add('address', `address ${quoted(sentence.address)}; two letters and three, or P and more are allowed`, null);
  } else if (sentence.kind === 'standard') {
    checkNames(sentence, options, add);
    const rule = RULES.get(sentence.formatter);
    if (rule !== undefined) checkFields(sentence, rule, options, add);
  }
  return found ?? NOTHING;
}

/**
 * The versions of the standard that have such a sentence with so many fields; empty: none has, or it is one that is
 * not judged field by field.
 */
export function versionsOf({ kind, formatter, fields }: Sentence): readonly SentenceVersion[] {
  return (kind === 'standard' && RULES.get(formatter)?.byCount[fields.length]?.versions) || [];
}

type Add = (code: Violation['code'], what: string, field: string | null) => void;

function checkNames({ talker, formatter }: Sentence, { told }: GrammarOptions, add: Add): void {
  if (!STANDARD_TALKERS.has(talker)) {
    if (VARIANT_TALKERS.has(talker)) add('variant-talker', `talker ${talker}; GQ is allowed for QZSS`, null);
    else add('unknown-talker', `talker ${talker}; those of the standard, such as GP or GN, are allowed`, null);
  }
  if (RULES.has(formatter) || OTHER_FORMATTERS.has(formatter) || told?.has(formatter)) return;
  told?.add(formatter);
  add('unknown-formatter', `formatter ${formatter}; those of the standard are allowed`, null);
}

function checkFields(
  { talker, formatter, fields }: Sentence,
  rule: RuleByCount,
  { version }: GrammarOptions,
  add: Add,
): void {
  const shape = rule.byCount[fields.length];
  if (shape === undefined) {
    const counts = [...new Set(rule.shapes.map((each) => each.fields.length))].sort((a, b) => a - b);
    add('field-count', `${formatter} with ${fields.length} fields; ${counts.join(', ')} are allowed`, null);
    return;
  }
  if (version !== undefined && !shape.versions.includes(version)) {
    const versions = shape.versions.join(', ');
    add('version-count', `${formatter} with ${fields.length} fields, as of ${versions}; ${version} is expected`, null);
  }
  let isRight = true;
  for (let i = 0; i < fields.length; i++) {
    const text = fields[i] as string;
    const { name, form, mayBeBlank } = shape.fields[i] as (typeof shape.fields)[number];
    if (text === '') {
      if (mayBeBlank) continue;
      isRight = false;
      add('field-missing', `${name} of ${formatter} is blank; ${form.allowed} is allowed`, name);
      continue;
    }
    const code = form.faultOf(text);
    if (code === null) continue;
    isRight = false;
    add(code, `${name} of ${formatter} is ${quoted(text)}; ${form.allowed} is allowed`, name);
  }
  const say: Say = (code, place, what) => {
    const name = place === null ? null : (shape.fields[place]?.name ?? null);
    add(code, name === null ? `${formatter} has ${what}` : `${name} of ${formatter} is ${what}`, name);
  };
  checkPairs(fields, rule, say);
  if (isRight) rule.together?.(fields, say, talker);
}

function checkPairs(fields: readonly string[], { pairs }: RuleByCount, say: Say): void {
  for (let i = 0; i < pairs.length; i++) {
    const { value, letter, mayLetterStandAlone } = pairs[i] as (typeof pairs)[number];
    const [isValue, isLetter] = [fields[value] !== '', fields[letter] !== ''];
    if (isValue && !isLetter)
      say('empty-field-pair', letter, `blank beside ${fields[value]}; a letter is allowed there`);
    if (!isValue && isLetter && !mayLetterStandAlone) {
      say('empty-field-pair', letter, `${fields[letter]} without a value; blank is allowed there`);
    }
  }
}

const LONGEST_QUOTE = 24;

/** A text as a message shows it: short, its control characters escaped. */
function quoted(text: string): string {
  const short = text.length > LONGEST_QUOTE ? `${text.slice(0, LONGEST_QUOTE)}…` : text;
  return `"${printable(short)}"`;
}
