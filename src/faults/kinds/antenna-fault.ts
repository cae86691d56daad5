import { z } from 'zod';
import type { IssueParams } from '../../base/quantity-schema.js';
import { quantity } from '../../base/quantity-schema.js';
import type { Stream } from '../../base/random.js';
import { defineFault, type SignalEffect, type Turns } from '../fault.js';

/** What leaks in past an open antenna connection is so much weaker, dB, by satellite (common practice). */
const LEAST_OPEN_DB = 25;
const GREATEST_OPEN_DB = 35;

/** What a bad cable takes where its attenuation is not set, dB. */
const LOSSY_DB = 20;

const PARAMS: IssueParams = {
  kind: 'one-of',
  expected: 'state: lossy beside attenuation',
  hint: 'An open or short antenna has no attenuation of its own: leave it out.',
};

export const antennaFault = defineFault({
  name: 'antenna-fault',
  title: 'The cable of the antenna is open (only what leaks in is left), short (nothing arrives), or takes too much.',
  stage: 'signal',
  settings: z
    .strictObject({
      state: z.enum(['open', 'short', 'lossy']).default('open').describe('open, short, or lossy: a bad cable or plug'),
      attenuation: quantity('level', { min: 0, max: 60 })
        .optional()
        .describe('with state lossy: what the cable takes, 0 to 60 dB; default 20 dB'),
      status: z
        .enum(['none', 'text'])
        .default('text')
        .describe('text: with state open or short the module says so by TXT, when it begins and when it ends'),
    })
    .refine(({ state, attenuation }) => state === 'lossy' || attenuation === undefined, {
      path: ['attenuation'],
      error: `expected ${PARAMS.expected}`,
      params: { ...PARAMS },
    }),
  goodHost: 'Shows that the position is not valid, and where the module tells the antenna’s state, says so.',
  create: ({ state, attenuation, status }, stream) => {
    if (state === 'lossy') return { signal: (signals) => weaken(signals, () => attenuation ?? LOSSY_DB) };
    const turns = status === 'none' ? SILENT : TOLD[state];
    return { ...turns, signal: state === 'short' ? lose : leaking(stream) };
  },
});

const SILENT: Turns = {};

/** What a module says that watches its antenna's current (wording by common practice). */
const TOLD: Readonly<Record<'open' | 'short', Turns>> = { open: told('ANTENNA OPEN'), short: told('ANTENNA SHORT') };

function told(text: string): Turns {
  return { begin: (module) => module.say(text), end: (module) => module.say('ANTENNA OK') };
}

function lose(signals: Parameters<SignalEffect['signal']>[0]): void {
  weaken(signals, () => Infinity);
}

/** Lets in what leaks past an open plug: as much of a satellite at every epoch. */
function leaking(stream: Stream): SignalEffect['signal'] {
  const leaks = new Map<string, number>();
  const leakDb = (id: string): number => {
    const known = leaks.get(id);
    if (known !== undefined) return known;
    const lossDb = LEAST_OPEN_DB + (GREATEST_OPEN_DB - LEAST_OPEN_DB) * stream.uniform();
    leaks.set(id, lossDb);
    return lossDb;
  };
  return (signals) => weaken(signals, leakDb);
}

function weaken(signals: readonly { readonly id: string; cn0DbHz: number }[], lossDb: (id: string) => number): void {
  for (const signal of signals) signal.cn0DbHz -= lossDb(signal.id);
}
