import { z } from 'zod';
import type { Stream } from '../../base/random.js';
import { defineFault } from '../fault.js';
import { isOfSentences, sentences, share } from '../settings.js';

export const sentenceOrder = defineFault({
  name: 'sentence-order',
  title: 'The sentences of an epoch come in another order: reversed, shuffled, or two neighbours change places.',
  stage: 'sentence',
  settings: z.strictObject({
    order: z
      .enum(['reversed', 'shuffled', 'swapped'])
      .default('swapped')
      .describe('reversed: the last comes first; shuffled: by chance; swapped: two neighbours change places'),
    share: share(1, 'epochs'),
    sentences: sentences(),
  }),
  goodHost: 'Puts an epoch together by the time in its sentences, not by which comes first or last.',
  create: (settings, stream) => ({
    order: (names) => {
      const places = names.map((_, place) => place);
      if (stream.uniform() >= settings.share) return places;
      // Those that move change places among themselves; the others stay where they are.
      const from = places.filter((place) => isOfSentences(names[place] as string, settings.sentences));
      const to = MOVES[settings.order](from, stream);
      from.forEach((place, i) => {
        places[place] = to[i] as number;
      });
      return places;
    },
  }),
});

const MOVES = { reversed, shuffled, swapped };

function reversed(places: readonly number[]): number[] {
  return [...places].reverse();
}

/** All orders are equally likely: R. Durstenfeld, Algorithm 235 (1964). */
function shuffled(places: readonly number[], stream: Stream): number[] {
  const moved = [...places];
  for (let i = moved.length - 1; i > 0; i--) swap(moved, i, Math.floor(stream.uniform() * (i + 1)));
  return moved;
}

function swapped(places: readonly number[], stream: Stream): number[] {
  const moved = [...places];
  if (moved.length < 2) return moved;
  const first = Math.floor(stream.uniform() * (moved.length - 1));
  swap(moved, first, first + 1);
  return moved;
}

function swap(places: number[], i: number, k: number): void {
  const kept = places[i] as number;
  places[i] = places[k] as number;
  places[k] = kept;
}
