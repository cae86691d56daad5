import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import { openModule } from '../../src/index.js';
import { scenarioFromOptions } from '../../src/scenario/from-options.js';
import { loadScenarioFile } from '../../src/scenario/read.js';
import type { ScenarioOverrides } from '../../src/scenario/scenario.js';
import { LEAST, read } from './helper.js';

const AT = { latitudeDeg: 52, longitudeDeg: 9 };
const YEAR_AND_DAY_S = 366 * 86_400;

/** Every way to a scenario. */
const WAYS: readonly (readonly [way: string, make: (overrides: ScenarioOverrides) => Promise<unknown>])[] = [
  ['a text', (overrides) => read(LEAST, {}, { overrides })],
  ['a file', (overrides) => loadScenarioFile('bench', overrides)],
  ['options', (overrides) => scenarioFromOptions({ at: AT }, overrides)],
];

/** What the settings themselves would not be allowed to be, and what JavaScript lets through. */
const REFUSED: readonly (readonly [path: string, overrides: Record<string, unknown>, received: string])[] = [
  ['seed', { seed: Number.NaN }, 'NaN'],
  ['seed', { seed: -1.5 }, '-1.5'],
  ['seed', { seed: -1 }, '-1'],
  ['seed', { seed: 2 ** 32 }, '4294967296'],
  ['seed', { seed: '7' }, '"7"'],
  ['baud', { baud: -5 }, '-5'],
  ['baud', { baud: 0 }, '0'],
  ['baud', { baud: 9600.5 }, '9600.5'],
  ['baud', { baud: 10_000_001 }, '10000001'],
  ['duration', { durationS: 0 }, '0 s'],
  ['duration', { durationS: Number.NaN }, 'NaN s'],
  ['duration', { durationS: Number.POSITIVE_INFINITY }, 'Infinity s'],
  ['duration', { durationS: 1e308 }, '1e+308 s'],
  ['duration', { durationS: YEAR_AND_DAY_S + 1 }, '31622401 s'],
];

describe.each(WAYS)('what stands in place of the settings of a scenario from %s', (_way, make) => {
  it.each(REFUSED)('%s: %o is refused', async (path, overrides, received) => {
    const error = await make(overrides as ScenarioOverrides).then(
      () => null,
      (reason: unknown) => reason,
    );
    expect(error).toBeInstanceOf(LodestubError);
    expect(error).toMatchObject({ code: 'scenario.range', path, received });
  });

  it('module: what is no text is refused', async () => {
    const refused = { code: 'scenario.type', path: 'module' };
    await expect(make({ module: 5 } as unknown as ScenarioOverrides)).rejects.toMatchObject(refused);
    await expect(make({ module: '' })).rejects.toMatchObject(refused);
  });

  it('is taken up to the bounds', async () => {
    const most = { seed: 2 ** 32 - 1, durationS: YEAR_AND_DAY_S, baud: 10_000_000 };
    const { baud, ...rest } = most;
    expect(await make(most)).toMatchObject({ ...rest, module: { baud } });
    expect(await make({ seed: 0, durationS: 0.001, baud: 50 })).toMatchObject({ seed: 0, durationS: 0.001 });
  });
});

it('a settings file has the same bounds', async () => {
  const most = await read(`${LEAST}seed: ${2 ** 32 - 1}\nduration: 366 d\nmodule: { baud: 10000000 }\n`);
  expect(most).toMatchObject({ seed: 2 ** 32 - 1, durationS: YEAR_AND_DAY_S, module: { baud: 10_000_000 } });
  await expect(read(`${LEAST}seed: ${2 ** 32}\n`)).rejects.toMatchObject({ code: 'scenario.range' });
  await expect(read(`${LEAST}duration: 367 d\n`)).rejects.toMatchObject({ code: 'scenario.range' });
});

it('openModule refuses what the command line does', async () => {
  await expect(openModule({ seed: Number.NaN })).rejects.toMatchObject({ code: 'scenario.range', path: 'seed' });
  await expect(openModule({ baud: 0 })).rejects.toMatchObject({ code: 'scenario.range', path: 'baud' });
});
