import { unknownWord } from './unknown-word.js';

/** `lodestub schema`: the JSON Schema of a kind of file. @throws LodestubError `command.unknown-word` */
export async function schemaCommand(of: string): Promise<void> {
  const { dialectJsonSchema, moduleJsonSchema, scenarioJsonSchema } = await import('../scenario/json-schema.js');
  const makers: Readonly<Record<string, () => object>> = {
    scenario: scenarioJsonSchema,
    module: moduleJsonSchema,
    dialect: dialectJsonSchema,
    trial: (await import('../trial/json-schema.js')).trialJsonSchema,
  };
  const make = Object.hasOwn(makers, of) ? makers[of] : undefined;
  if (make === undefined) throw unknownWord('schema', of, Object.keys(makers));
  process.stdout.write(`${JSON.stringify(make(), null, 2)}\n`);
}
