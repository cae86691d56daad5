import fc from 'fast-check';
import { beforeEach, describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';
import { fulfil, type Request } from '../../src/control/requests.js';
import { Controlled, scenarioOf } from './helper.js';

const OFFERS = [
  { fault: 'silence', for: '2 s' },
  { fault: 'bad-checksum', with: { share: 0.5 } },
  { surroundings: 'tunnel', for: '3 s' },
];

let controlled: Controlled;
beforeEach(async () => {
  controlled = new Controlled(await scenarioOf({ live: OFFERS }));
  controlled.pass(3210);
});

/** What is answered, or the error's code and message. */
async function ask(request: Request): Promise<Record<string, unknown>> {
  try {
    return { ...(await fulfil(controlled.live, request)) };
  } catch (error) {
    const { code, message } = error as { code: string; message: string };
    return { code, message };
  }
}

const faults = () =>
  controlled.lines
    .map((line) => JSON.parse(line) as { type: string; id: string; phase: string; atMs: number })
    .filter(({ type }) => type === 'fault' || type === 'surroundings')
    .map(({ id, phase, atMs }) => `${atMs} ${phase} ${id}`)
    .sort();

describe('start and clear', () => {
  it('take effect at the next tick of 20 ms, and answer with id and time', async () => {
    expect(await ask({ do: 'start', offer: 2 })).toEqual({ id: 'live-1.1', atMs: 3220 });
    expect(await ask({ do: 'status' })).toMatchObject({ inForce: [{ id: 'live-1.1', kind: 'bad-checksum' }] });
    controlled.pass(2000);
    expect(await ask({ do: 'clear', id: 'live-1.1' })).toEqual({ ids: ['live-1.1'], atMs: 5220 });
    expect(await ask({ do: 'status' })).toMatchObject({ inForce: [] });
    controlled.pass(1000);
    expect(faults()).toEqual(['3220 begin live-1.1', '5220 end live-1.1']);
  });

  it('know offers by number and name, with their settings and times', async () => {
    expect(await ask({ do: 'start', offer: 'silence' })).toEqual({ id: 'live-1.1', atMs: 3220 });
    expect(await ask({ do: 'start', offer: 3 })).toEqual({ id: 'live-2.1', atMs: 3220 });
    controlled.pass(1000);
    expect(await ask({ do: 'clear', offer: 'tunnel' })).toMatchObject({ ids: ['live-2.1'] });
    controlled.pass(3000);
    expect(faults()).toEqual(['3220 begin live-1.1', '3220 begin live-2.1', '4220 end live-2.1', '5220 end live-1.1']);
  });

  it('take any fault with settings as a scenario has them, and surroundings', async () => {
    const fault = { do: 'start', fault: 'restart', with: { start: 'hot', off: '300 ms' } };
    expect(await ask(fault)).toMatchObject({ id: 'live-1.1' });
    const canyon = { 'street-canyon': { width: '12 m' } };
    expect(await ask({ do: 'start', surroundings: canyon, for: '1.5 s' })).toMatchObject({ id: 'live-2.1' });
    controlled.pass(3000);
    expect(faults()).toEqual(['3220 begin live-1.1', '3220 begin live-2.1', '3520 end live-1.1', '4720 end live-2.1']);
  });

  it('what was started while time stands still is in force at the epoch that a step brings', async () => {
    await ask({ do: 'pause' });
    const atMs = controlled.live.step();
    expect(atMs).toBe(4999);
    controlled.pass(5000);
    expect(await ask({ do: 'status' })).toMatchObject({ paused: true, atMs: 4999, epoch: 4 });
    expect(await ask({ do: 'start', offer: 2 })).toEqual({ id: 'live-1.1', atMs: 5000 });
    controlled.live.step();
    controlled.pass(5000);
    expect(controlled.watch.step?.epoch.atMs).toBe(5000);
    expect(controlled.watch.step?.faults.map(({ id }) => id)).toEqual(['live-1.1']);
  });

  it('end a fault of the timeline too', async () => {
    controlled = new Controlled(await scenarioOf({ timeline: [{ at: '1 s', fault: 'silence' }] }));
    controlled.pass(3000);
    expect(await ask({ do: 'clear', id: '1.1' })).toMatchObject({ ids: ['1.1'] });
  });
});

describe('everything done by hand is in the journal', () => {
  it('with what was asked for, and when', async () => {
    await ask({ do: 'pause' });
    await ask({ do: 'pace', factor: 5 });
    await ask({ do: 'start', offer: 1 });
    await ask({ do: 'clear', offer: 1 });
    await ask({ do: 'resume' });
    controlled.pass(100);
    const records = controlled.lines.map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(records.filter(({ type }) => type === 'control')).toMatchObject([
      { do: 'pause', atMs: 3210 },
      { do: 'pace', factor: 5 },
      { do: 'start', id: 'live-1.1', forS: 2, effectMs: 3220 },
      { do: 'clear', id: 'live-1.1', effectMs: 3220 },
      { do: 'resume' },
    ]);
  });
});

describe('what is wrong with a request is said', () => {
  it.each([
    [{}, 'control.request', /do: expected one of pause, resume, .*watch, got nothing/],
    [{ do: 'puase' }, 'control.request', /Did you mean pause\?/],
    [{ do: 'pause', when: 1 }, 'control.request', /the key when is not known in a request to pause/],
    [{ do: 'pace' }, 'control.value', /factor: expected a number of 0.01 to 1000, times real time, got nothing/],
    [{ do: 'pace', factor: 1e9 }, 'control.value', /got 1000000000/],
    [{ do: 'pace', factor: '2' }, 'control.value', /got "2"/],
    [{ do: 'start' }, 'control.request', /exactly one of the keys offer, fault, surroundings, got none/],
    [{ do: 'start', offer: 1, fault: 'silence' }, 'control.request', /got offer and fault/],
    [{ do: 'start', offer: 1, for: '3 s' }, 'control.request', /settings of its own/],
    [{ do: 'start', offer: 4 }, 'control.offer', /a number of 1 to 3, or a name, got 4/],
    [{ do: 'start', offer: { toString: 0 } }, 'control.offer', /got \{"toString":0\}/],
    [{ do: 'start', offer: 'tunel' }, 'control.offer', /Did you mean tunnel\?/],
    [{ do: 'start', fault: 'silense' }, 'scenario.unknown-word', /Did you mean silence\?/],
    [{ do: 'start', fault: 'silence', for: 3 }, 'scenario.unit', /start, for: expected a duration .*3 s/],
    [
      { do: 'start', fault: 'bad-checksum', with: { share: 7 } },
      'scenario.range',
      /with.share: expected 0 to 1, got 7/,
    ],
    [{ do: 'start', fault: 'silence', with: { loud: 1 } }, 'scenario.unknown-key', /with.loud/],
    [{ do: 'start', surroundings: 'tunel' }, 'scenario.unknown-word', /tunnel/],
    [{ do: 'start', surroundings: 'tunnel', with: {} }, 'scenario.unknown-key', /with/],
    [{ do: 'clear' }, 'control.request', /exactly one of the keys id, offer/],
    [{ do: 'clear', id: 3 }, 'control.value', /id: expected the id/],
    [{ do: 'clear', id: 'live-9.1' }, 'control.not-in-force', /nothing: no fault is in force, got live-9.1/],
    [{ do: 'clear', offer: 1 }, 'control.not-in-force', /silence/],
  ])('%j: %s', async (request, code, message) => {
    const answer = await ask(request);
    expect(answer.code).toBe(code);
    expect(answer.message).toMatch(message);
  });

  it('whatever JSON it holds', async () => {
    const names = fc.constantFrom('toString', 'valueOf', 'toJSON', '__proto__', 'constructor', 'share', 'length', '0');
    const { value } = fc.letrec((tie) => ({
      value: fc.oneof({ maxDepth: 4 }, fc.jsonValue({ maxDepth: 1 }), tie('mapping')),
      mapping: fc.dictionary(names, tie('value'), { maxKeys: 3 }),
    }));
    const keys = fc.constantFrom('offer', 'fault', 'with', 'surroundings', 'for', 'id', 'factor', 'tag');
    const good = fc.constantFrom('silence', 'bad-checksum', 'tunnel', '2 s', 1);
    const requests = fc.tuple(
      fc.constantFrom('start', 'start', 'clear', 'pace', 'status', 'pause', 'resume'),
      fc.dictionary(keys, fc.oneof(value, good), { maxKeys: 4 }),
    );
    await fc.assert(
      fc.asyncProperty(requests, async ([what, rest]) => {
        try {
          await fulfil(controlled.live, { do: what, ...(rest as object) });
        } catch (error) {
          expect(error).toBeInstanceOf(LodestubError);
        }
      }),
      { numRuns: 2000 },
    );
  });

  it('once the run is over', async () => {
    controlled.finish();
    expect(await ask({ do: 'start', offer: 1 })).toMatchObject({ code: 'control.over' });
  });
});

it('where the scenario offers nothing there is a list that does', async () => {
  controlled = new Controlled(await scenarioOf());
  const { offers } = controlled.live;
  expect(offers.length).toBeGreaterThanOrEqual(8);
  expect(offers.map(({ number }) => number)).toEqual(offers.map((_, index) => index + 1));
  for (const { number } of offers) expect(await ask({ do: 'start', offer: number })).toHaveProperty('id');
});
