import { LodestubError } from '../base/error.js';
import { suggest } from '../base/nearest.js';
import { formatQuantity } from '../base/quantity.js';
import type { FaultKind } from '../faults/fault.js';
import { FAULT_KINDS } from '../faults/registry.js';
import { readLiveOffer } from '../scenario/live-offer.js';
import { needsReceiver } from '../scenario/recording.js';
import type { LiveOffer, Scenario } from '../scenario/scenario.js';

/** Something that one key starts and clears. */
export interface Offer {
  /** 1 to 9. */
  readonly number: number;
  /** The fault's, or the surroundings'. */
  readonly name: string;
  readonly what: LiveOffer;
}

/** What can be started by hand where a scenario offers nothing, as it would be written there. */
const DEFAULTS: ReadonlyArray<Readonly<Record<string, unknown>>> = [
  { fault: 'silence' },
  { fault: 'bad-checksum', with: { 'tell-tale': true } },
  { fault: 'cut-then-dollar' },
  { fault: 'garbage-bytes' },
  { fault: 'signal-loss' },
  { surroundings: 'tunnel' },
  { fault: 'restart' },
  { fault: 'frozen-position' },
  { fault: 'port-loss' },
];

/** What a scenario offers to be started by hand, or a list of faults that suits every scenario. */
export function offersOf(
  { live, recording = null }: Pick<Scenario, 'live'> & Partial<Pick<Scenario, 'recording'>>,
  kinds: readonly FaultKind[] = FAULT_KINDS,
): Offer[] {
  const all = live.length > 0 ? live : DEFAULTS.flatMap((each) => defaultOffer(each, kinds));
  const offers = recording === null ? all : all.filter((what) => what.kind === 'fault' && !needsReceiver(what.fault));
  return offers.map((what, index) => ({ number: index + 1, name: nameOf(what), what }));
}

/** None for a fault that there is not; without its settings where it does not have them. */
function defaultOffer(value: Readonly<Record<string, unknown>>, kinds: readonly FaultKind[]): LiveOffer[] {
  const { fault } = value;
  const kind = kinds.find(({ name }) => name === fault);
  if (fault !== undefined && kind === undefined) return [];
  const fits = kind?.settings.safeParse(value.with ?? {}).success ?? true;
  return [readLiveOffer(fits ? value : { fault }, 'offer', kinds)];
}

function nameOf(what: LiveOffer): string {
  return what.kind === 'fault' ? what.fault.name : what.surroundings.kind;
}

/**
 * An offer by its number or name; of several of one name the first.
 * @param wanted anything that came over the socket
 * @throws LodestubError `control.offer`
 */
export function findOffer(offers: readonly Offer[], wanted: unknown): Offer {
  const found = offers.find(({ number, name }) => number === wanted || name === wanted);
  if (found !== undefined) return found;
  const names = [...new Set(offers.map(({ name }) => name))];
  throw new LodestubError({
    code: 'control.offer',
    path: 'offer',
    expected: `a number of 1 to ${offers.length}, or a name`,
    received: JSON.stringify(wanted)?.slice(0, 60) ?? 'nothing',
    ...(typeof wanted === 'string' ? { hint: suggest(wanted.slice(0, 60), names) } : {}),
  });
}

/** What a line of help says of an offer: `2 bad-checksum, 20 s`. */
export function describeOffer({ number, name, what: { forS } }: Offer): string {
  return `${number} ${name}${forS === null ? '' : `, ${formatQuantity(forS, 'duration')}`}`;
}
