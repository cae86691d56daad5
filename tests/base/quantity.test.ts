import { expect, it } from 'vitest';
import { z } from 'zod';
import { quantity } from '../../src/base/quantity-schema.js';

it('x', () => {
  const S = z.strictObject({
    a: quantity('duration', { exclusiveMin: 0, max: 3600 }).prefault('5 s').describe('How long'),
    b: quantity('speed').optional(),
  });
  console.log(
    JSON.stringify(z.toJSONSchema(S, { io: 'input' }), null, 1),
    S.parse({}),
    S.parse({ b: 0 }),
    S.safeParse({ a: 0, b: 9 }).error?.issues,
  );
});
