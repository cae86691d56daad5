import { newSentence, type TellTale, type Transmission } from '../emit/line/transmission.js';
import type { Occurrence } from '../faults/occurrence.js';
import type { Report } from '../sim/epoch.js';

const NONE: readonly string[] = [];

/** What sentences are about. */
export interface About {
  readonly epoch: number;
  /** Null: there has been no epoch yet. */
  readonly report: Report | null;
  /** A place for a damaged sentence to carry. */
  readonly tellTale: () => TellTale;
}

/** What faults make of an epoch's sentences, one fault after the other in the order of their ranks. */
export function alter(
  sentences: readonly string[],
  faults: readonly Occurrence<'sentence'>[],
  about: About,
): Transmission[] {
  if (faults.length === 0) return sentences.map((text) => newSentence(about.epoch, text, null, NONE));
  const { order, moved } = orderOf(sentences, faults);
  return order.map((place) => alterOne(sentences[place] as string, faults, about, moved));
}

function alterOne(
  text: string,
  faults: readonly Occurrence<'sentence'>[],
  { epoch, report, tellTale }: About,
  moved: readonly string[],
): Transmission {
  const whole = `${text}\r\n`;
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
  return newSentence(epoch, text, sent === whole ? null : sent, hands, told);
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
