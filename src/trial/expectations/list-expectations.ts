import { z } from 'zod';
import { EXPECTATION_KINDS } from './registry.js';

/** What is said of a kind of expectation: what its value means, and its settings as JSON Schema. */
export interface ListedExpectation {
  readonly name: string;
  readonly title: string;
  readonly settings: Readonly<Record<string, unknown>>;
}

/** Every kind of expectation. */
export function listExpectations(): ListedExpectation[] {
  return EXPECTATION_KINDS.map(({ key, title, shape }) => {
    const schema = z.toJSONSchema(z.strictObject(shape as z.ZodRawShape), { io: 'input', unrepresentable: 'any' });
    const settings = (schema.properties ?? {}) as Readonly<Record<string, { readonly description?: string }>>;
    const others = Object.keys(settings).filter((name) => name !== key);
    const meaning = settings[key]?.description ?? title;
    return { name: key, title: others.length === 0 ? meaning : `${meaning} (also: ${others.join(', ')})`, settings };
  });
}
