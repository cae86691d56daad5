import { describe, expect, it } from 'vitest';
import { readScenario } from '../../src/scenario/read.js';
import { withFaults } from '../../src/trial/with-faults.js';

const ROUTE = 'route: [{ hold: 60 s, at: [1, 2] }]';
const SILENCE = { at: '10 s', for: '5 s', fault: 'silence' };

async function faultsOf(text: string) {
  const { timeline } = await readScenario(text, { file: 'scenario.yaml', baseFolder: '.' });
  return timeline.map(({ name, atS, forS, ...entry }) => [
    name,
    atS,
    forS,
    entry.kind === 'fault' ? entry.fault.name : '',
  ]);
}

describe('a scenario with further entries', () => {
  it('without entries is as it was, to the letter', () => {
    const text = `# mine\nlodestub: 1\n${ROUTE}   # here\n`;
    expect(withFaults(text, [])).toBe(text);
  });

  it('gets a timeline where it had none', async () => {
    expect(await faultsOf(withFaults(`lodestub: 1\n${ROUTE}\n`, [SILENCE]))).toEqual([['1', 10, 5, 'silence']]);
  });

  it.each([
    ['in lines', 'timeline:\n  - { at: 1 s, for: 2 s, fault: bad-checksum }   # first\n'],
    ['in brackets', 'timeline: [{ at: 1 s, for: 2 s, fault: bad-checksum }]\n'],
  ])('whose own timeline stands %s: the new entries come after it, by place', async (_, timeline) => {
    const text = withFaults(`lodestub: 1\n${ROUTE}\n${timeline}`, [SILENCE, { ...SILENCE, id: 'later', at: '20 s' }]);
    expect(await faultsOf(text)).toEqual([
      ['1', 1, 2, 'bad-checksum'],
      ['2', 10, 5, 'silence'],
      ['later', 20, 5, 'silence'],
    ]);
    if (timeline.includes('#')) expect(text).toContain('# first');
  });

  it('whose timeline is an alias: the list that it stands for stays as it is', async () => {
    const text = `lodestub: 1\n${ROUTE}\nlive: &all [{ for: 3 s, fault: silence }]\ntimeline: []\n`;
    const scenario = await readScenario(withFaults(text, [SILENCE]), { file: 'scenario.yaml', baseFolder: '.' });
    expect(scenario.live).toHaveLength(1);
    expect(scenario.timeline).toHaveLength(1);
  });
});
