import { unknownWord } from './unknown-word.js';

interface Row {
  readonly name: string;
  readonly title: string;
}

const LISTS: Readonly<Record<string, () => Promise<readonly Row[]>>> = {
  scenarios: async () => (await import('../scenario/shipped.js')).listScenarios(),
  modules: async () => (await import('../scenario/shipped.js')).listModules(),
  faults: listFaults,
  errors: async () =>
    Object.entries((await import('./error-codes.js')).ERROR_CODES).map(([name, title]) => ({ name, title })),
};

/** `lodestub list`. @throws LodestubError `command.unknown-word` */
export async function listCommand(what: string, { json }: { readonly json?: boolean }): Promise<void> {
  const list = Object.hasOwn(LISTS, what) ? LISTS[what] : undefined;
  if (list === undefined) throw unknownWord('list', what, Object.keys(LISTS));
  const rows = await list();
  process.stdout.write(`${json === true ? JSON.stringify(rows, null, 2) : table(rows)}\n`);
}

async function listFaults(): Promise<readonly Row[]> {
  const { FAULT_KINDS } = await import('../faults/registry.js');
  const { z } = await import('zod');
  return FAULT_KINDS.map(({ name, title, stage, settings, goodHost }) => ({
    name,
    title,
    stage,
    settings: z.toJSONSchema(settings, { io: 'input' }).properties ?? {},
    goodHost,
    file: `src/faults/kinds/${name}.ts`,
  }));
}

function table(rows: readonly Row[]): string {
  const width = Math.max(0, ...rows.map(({ name }) => name.length));
  return rows.map(({ name, title }) => `${name.padEnd(width)}  ${title}`).join('\n');
}
