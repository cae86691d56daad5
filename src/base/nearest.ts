import { distance } from 'fastest-levenshtein';

/** All choices, the one nearest to `word` first (edit distance without regard to case, then the order given). */
export function nearestFirst(word: string, choices: readonly string[]): string[] {
  const far = (choice: string) => distance(word.toLowerCase(), choice.toLowerCase());
  return choices
    .map((choice, index) => ({ choice, index, far: far(choice) }))
    .sort((a, b) => a.far - b.far || a.index - b.index)
    .map(({ choice }) => choice);
}

/** So many choices are listed at most. */
const MOST_LISTED = 50;

/**
 * A hint for a word that is not known: `Did you mean silence? Known: bad-checksum, silence, …`, in the order given, or
 * of a long list the nearest; the question is left out where nothing is near (more than half of the word differs).
 */
export function suggest(word: string, choices: readonly string[]): string {
  if (choices.length === 0) return 'There are none.';
  const ordered = nearestFirst(word, choices);
  const rest = choices.length - MOST_LISTED;
  const listed = rest <= 0 ? choices : ordered.slice(0, MOST_LISTED);
  const known = `Known: ${listed.join(', ')}${rest <= 0 ? '' : ` and ${rest} more`}.`;
  return isNear(word, ordered[0]) ? `Did you mean ${ordered[0]}? ${known}` : known;
}

/** True where `choice` is so close to `word` that it is likely what was meant. */
function isNear(word: string, choice: string | undefined): boolean {
  if (choice === undefined) return false;
  const [a, b] = [word.toLowerCase(), choice.toLowerCase()];
  return distance(a, b) <= Math.max(1, Math.floor(Math.max(a.length, b.length) / 2)) && distance(a, b) < b.length;
}
