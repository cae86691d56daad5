import { counted, listed, number, times } from '../../base/words.js';
import type { AgreementPart, PlacePair } from '../consistency-report.js';
import type { Item } from '../inspect-report.js';

/** From this share of the epochs on a difference is steady. */
const STEADY_SHARE = 0.5;
/** What no other rounding or smoothing inside a module explains (our own), m. */
const BAD_M = 1;

/** What the sentences of an epoch come to, held against each other. */
export function agreementItem({ places }: AgreementPart): Item {
  const key = 'agreement';
  const title = 'Sentences agree';
  if (places.length === 0) {
    return { key, title, verdict: 'untested', reason: 'no epoch has two sentences of one time that tell a place' };
  }
  const apart = places.filter((pair) => pair.apart > 0);
  if (apart.length === 0) {
    const names = listed([...new Set(places.flatMap(({ first, second }) => [first, second]))]);
    const most = Math.max(...places.map(({ epochs }) => epochs));
    const reason = `${names} tell one place in each of ${counted(most, 'epoch')}, to their decimals`;
    return { key, title, verdict: 'good', reason };
  }
  const isBad = apart.some(({ largestM }) => (largestM ?? 0) > BAD_M);
  return { key, title, verdict: isBad ? 'bad' : 'remark', reason: apart.map(clauseOf).join('; ') };
}

/** Whether a pair's places are steadily apart, rather than now and then. */
export function isSteady({ apart, epochs }: { readonly apart: number; readonly epochs: number }): boolean {
  return apart > STEADY_SHARE * epochs;
}

function clauseOf(pair: PlacePair): string {
  const { first, second, epochs, apart, late, largestM, examples } = pair;
  const [example] = examples;
  const where = example === undefined ? '' : `, line ${example.line}`;
  const far = `${m(pair.medianM ?? 0)} apart, median, up to ${m(largestM ?? 0)}`;
  const often = isSteady(pair)
    ? `steadily, in ${apart} of ${counted(epochs, 'epoch')}`
    : `now and then, ${times(apart)} in ${counted(epochs, 'epoch')}`;
  const about = `${first} and ${second} tell places ${far}`;
  if (late !== null) {
    const other = late === first ? second : first;
    return `${about}: ${late} tells the place that ${other} told an epoch before; ${often}${where}`;
  }
  const side = isSteady(pair) ? `, ${second} ${offsetOf(pair)} of ${first}` : '';
  return `${about}${side}; ${often}${where}`;
}

function offsetOf({ eastM, northM }: PlacePair): string {
  const [east, north] = [eastM ?? 0, northM ?? 0];
  return `${m(Math.abs(north))} ${north < 0 ? 'south' : 'north'}, ${m(Math.abs(east))} ${east < 0 ? 'west' : 'east'}`;
}

function m(value: number): string {
  return `${number(value, Math.abs(value) < 100 ? 2 : 0)} m`;
}
