import { z } from 'zod';

/** A satellite as RINEX names it, of a system that there is. */
export function satellite(): z.ZodString {
  return z.string().regex(/^G(0[1-9]|[12]\d|3[0-2])$/, { error: 'expected a satellite such as G05, G01 to G32' });
}

/** The share of sentences that a fault strikes, each by chance. */
export function share(byDefault: number): z.ZodType<number, number | undefined> {
  return z.number().min(0).max(1).default(byDefault).describe('share of the sentences that are struck, 0 to 1');
}
