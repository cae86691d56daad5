import { LodestubError } from '../base/error.js';
import { RandomStreams } from '../base/random.js';
import { type ModulePort, PORT_DEEDS, type PortDeed } from '../emit/ports/port.js';
import type { FaultKind, PortControl, PortEffect } from '../faults/fault.js';
import type { Scenario } from '../scenario/scenario.js';

/** Something that a scenario asks of its port, and that the port cannot do. */
export interface VainDemand {
  /** Where the scenario asks for it: `timeline 3`, `live 1`, `module`. */
  readonly where: string;
  /** A fault of the port, or a setting of the module's. */
  readonly name: string;
  readonly deeds: readonly PortDeed[];
}

/** What a fault asks for, from its beginning to its end, that a port cannot do; no port is asked for nothing. */
export function vainDeeds(port: Pick<ModulePort, 'cannot'> | null, effect: PortEffect): PortDeed[] {
  const asked = deedsOf(effect);
  return (port?.cannot ?? []).filter((deed) => asked.has(deed));
}

/** All that a scenario may ask of its port in vain: by its timeline, its own offers for live control, its module. */
export function vainDemands(
  port: Pick<ModulePort, 'cannot'>,
  { timeline, live, module }: Pick<Scenario, 'timeline' | 'live' | 'module'>,
): VainDemand[] {
  const demands: VainDemand[] = [];
  const add = (where: string, fault: FaultKind, settings: unknown) => {
    if (fault.stage !== 'port') return;
    const effect = fault.create(settings, NO_CHANCE) as PortEffect;
    demands.push({ where, name: fault.name, deeds: vainDeeds(port, effect) });
  };
  for (const entry of timeline) if (entry.kind === 'fault') add(`timeline ${entry.place}`, entry.fault, entry.settings);
  for (const [index, offer] of live.entries()) {
    if (offer.kind === 'fault') add(`live ${index + 1}`, offer.fault, offer.settings);
  }
  const keep = (port.cannot ?? []).filter((deed) => deed === 'keep');
  if (module.backlogBytes > 0) demands.push({ where: 'module', name: 'backlog', deeds: keep });
  return demands.filter(({ deeds }) => deeds.length > 0);
}

/** `timeline 3, port-loss: the port cannot hang up on its host, nor come back under another name`. */
export function describeVain({ where, name, deeds }: VainDemand): string {
  return `${where}, ${name}: the port cannot ${deeds.map((deed) => PORT_DEEDS[deed]).join(', nor ')}`;
}

/**
 * Refuses a scenario whose timeline or module asks of its port what that cannot do.
 * @throws LodestubError `port.cannot`
 */
export function checkDemands(port: ModulePort, scenario: Scenario): void {
  const [first] = vainDemands(port, { ...scenario, live: [] });
  if (first === undefined) return;
  throw new LodestubError({
    code: 'port.cannot',
    path: port.name,
    summary: describeVain(first),
    hint: 'Leave that fault out, or use a pty or tcp: port, which can do all.',
  });
}

/** What a port fault does by chance is none of the port's business. */
const NO_CHANCE = new RandomStreams(0).stream('asked');

/** What an effect asks for. A port fault only asks, so that it may be asked what it would ask for. */
function deedsOf(effect: PortEffect): ReadonlySet<PortDeed> {
  const asked = new Set<PortDeed>();
  const control: PortControl = {
    vanish(hangUp) {
      asked.add('go');
      if (hangUp) asked.add('hang-up');
    },
    comeBack(as) {
      if (as === 'other') asked.add('other-name');
    },
    refuse: () => void asked.add('refuse'),
    bunch() {},
    keep: () => void asked.add('keep'),
  };
  effect.begin(control);
  effect.end(control);
  return asked;
}
