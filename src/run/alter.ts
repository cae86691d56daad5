import { bytesFromLatin1, newBytes, newSentence, type TellTale, type Transmission } from '../emit/line/transmission.js';
import { SENTENCE_STEPS } from '../faults/fault.js';
import type { Occurrence } from '../faults/occurrence.js';
import type { Piece } from '../grammar/splitter.js';
import type { Report } from '../sim/epoch.js';

const NONE: readonly string[] = [];
const LINE_END = '\r\n';

/** What sentences are about. */
export interface About {
  readonly epoch: number;
  /** Null: there has been no epoch yet. */
  readonly report: Report | null;
  /** A place for a damaged sentence to carry. */
  readonly tellTale: () => TellTale;
}

/** What faults make of an epoch's sentences, one fault after the other: by their steps, then by their ranks. */
export function alter(
  sentences: readonly string[],
  faults: readonly Occurrence<'sentence'>[],
  about: About,
): Transmission[] {
  if (faults.length === 0) return sentences.map((text) => newSentence(about.epoch, text, null, NONE));
  const { order, moved } = orderOf(sentences, faults);
  const ordered = inSteps(faults);
  return order.map((place) => alterOne(sentences[place] as string, LINE_END, ordered, about, moved));
}

/** Why bytes of a recording that belong to no sentence are there. */
const RECORDED = 'recording';

/** What faults make of a recorded epoch: as {@link alter}; what is no sentence stays as it is, and in its place. */
export function alterRecorded(
  pieces: readonly Piece[],
  faults: readonly Occurrence<'sentence'>[],
  about: About,
): Transmission[] {
  if (faults.length === 0) return pieces.map((piece) => asRecorded(piece, about.epoch));
  const sentences = pieces.filter(({ kind }) => kind === 'sentence');
  const { order, moved } = orderOf(
    sentences.map(({ text }) => text),
    faults,
  );
  const ordered = inSteps(faults);
  let count = 0;
  return pieces.map((piece) => {
    if (piece.kind === 'noise') return asRecorded(piece, about.epoch);
    const { text, ending } = sentences[order[count++] as number] as Piece;
    return alterOne(text, ending, ordered, about, moved);
  });
}

/** What one damages, another cannot change any more: so damage is done last. */
function inSteps(faults: readonly Occurrence<'sentence'>[]): readonly Occurrence<'sentence'>[] {
  if (faults.length === 1) return faults;
  return SENTENCE_STEPS.flatMap((step) => faults.filter(({ effect }) => (effect.step ?? 'content') === step));
}

function asRecorded({ kind, text, ending }: Piece, epoch: number): Transmission {
  if (kind === 'noise') return newBytes(epoch, bytesFromLatin1(text + ending), RECORDED, NONE);
  return newSentence(epoch, text, isAsMeant(text, ending) ? null : text + ending, NONE);
}

/** Text and CR LF say all: no byte is other than ASCII. */
function isAsMeant(text: string, ending: string): boolean {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: all of ASCII is meant.
  return ending === LINE_END && /^[\x00-\x7f]*$/.test(text);
}

function alterOne(
  text: string,
  ending: string,
  faults: readonly Occurrence<'sentence'>[],
  { epoch, report, tellTale }: About,
  moved: readonly string[],
): Transmission {
  const whole = text + ending;
  const name = nameOf(text);
  let sent = whole;
  let told: TellTale | null = null;
  const hands = [...moved];
  for (const { id, effect } of faults) {
    if (effect.sentence === undefined) continue;
    const before = sent;
    let drawn: TellTale | null = null;
    sent = effect.sentence(before, {
      name,
      epoch,
      report,
      tellTale: () => {
        drawn = tellTale();
        return drawn;
      },
    });
    if (sent === before) continue;
    hands.push(id);
    told = drawn ?? told;
  }
  return newSentence(epoch, text, sent === whole && isAsMeant(text, ending) ? null : sent, hands, told);
}

/** The order in which sentences are sent, and the faults that moved them. */
function orderOf(sentences: readonly string[], faults: readonly Occurrence<'sentence'>[]) {
  let order = sentences.map((_, place) => place);
  const moved: string[] = [];
  for (const { id, effect } of faults) {
    if (effect.order === undefined) continue;
    const places = effect.order(order.map((place) => nameOf(sentences[place] as string)));
    if (places.every((place, i) => place === i)) continue;
    order = places.map((place) => order[place] as number);
    moved.push(id);
  }
  return { order, moved };
}

/** The three letters after the talker. */
function nameOf(text: string): string {
  return text.slice(3, 6);
}
