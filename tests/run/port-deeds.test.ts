import { describe, expect, it } from 'vitest';
import { stringify } from 'yaml';
import type { PortDeed } from '../../src/emit/ports/port.js';
import { checkDemands, describeVain, vainDemands } from '../../src/run/port-deeds.js';
import { readScenario } from '../../src/scenario/read.js';
import { roof } from './helper.js';

const TIMELINE = [
  { at: '1 s', fault: 'port-loss', with: { back: 'other' } },
  { at: '5 s', fault: 'port-loss', with: { 'hang-up': false } },
  { at: '9 s', fault: 'silence' },
  { at: '10 s', fault: 'port-refusal' },
  { at: '11 s', fault: 'backlog' },
  { at: '12 s', fault: 'bunched-delivery' },
];

/** A scenario that asks for all that there is. */
const scenarioOf = (changes = {}) =>
  readScenario(stringify(roof({ timeline: TIMELINE, duration: '20 s', ...changes })), {
    file: 'scenario',
    baseFolder: '.',
    overrides: {},
  });

const port = (...cannot: PortDeed[]) => ({ name: 'here', cannot, write: () => 0, close: async () => {} });

describe('what a scenario asks of its port in vain', () => {
  it('is what each fault does with its settings, and the port cannot do', async () => {
    const scenario = await scenarioOf();
    const said = (...cannot: PortDeed[]) => vainDemands(port(...cannot), scenario).map(describeVain);
    expect(said()).toEqual([]);
    expect(said('hang-up', 'other-name', 'refuse', 'keep')).toEqual([
      'timeline 1, port-loss: the port cannot hang up on its host, nor come back under another name',
      'timeline 4, port-refusal: the port cannot refuse whoever opens it',
      'timeline 5, backlog: the port cannot keep bytes until a host comes',
    ]);
    expect(said('go')).toEqual([
      'timeline 1, port-loss: the port cannot go away',
      'timeline 2, port-loss: the port cannot go away',
    ]);
  });

  it('is what is offered to be started by hand, and what the module’s profile keeps', async () => {
    const live = [{ fault: 'silence' }, { fault: 'port-refusal' }];
    const scenario = await scenarioOf({ timeline: [], live, module: { backlog: 100 } });
    expect(vainDemands(port('refuse', 'keep'), scenario)).toEqual([
      { where: 'live 2', name: 'port-refusal', deeds: ['refuse'] },
      { where: 'module', name: 'backlog', deeds: ['keep'] },
    ]);
  });

  it('ends a trial’s case, which would else pass untested', async () => {
    const scenario = await scenarioOf();
    expect(() => checkDemands(port(), scenario)).not.toThrow();
    expect(() => checkDemands(port('refuse'), scenario)).toThrow(/^port\.cannot: here: timeline 4, port-refusal: /);
  });
});
