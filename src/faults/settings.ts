import { z } from 'zod';

/** The share of sentences that a fault strikes, each by chance. */
export function share(byDefault: number): z.ZodType<number, number | undefined> {
  return z.number().min(0).max(1).default(byDefault).describe('share of the sentences that are struck, 0 to 1');
}
