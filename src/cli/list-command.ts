import { LodestubError } from '../base/error.js';
import { unknownWord } from './unknown-word.js';

interface Row {
  readonly name: string;
  readonly title: string;
}

const LISTS: Readonly<Record<string, () => Promise<readonly Row[]>>> = {
  scenarios: async () => (await import('../scenario/shipped.js')).listScenarios(),
  modules: async () => (await import('../scenario/shipped.js')).listModules(),
  dialects: async () => (await import('../scenario/dialect.js')).listDialects(),
  faults: listFaults,
  failures: listFailures,
  expectations: async () => (await import('../trial/expectations/list-expectations.js')).listExpectations(),
  errors: async () =>
    Object.entries((await import('./error-codes.js')).ERROR_CODES).map(([name, title]) => ({ name, title })),
};

interface ListOptions {
  readonly json?: boolean;
  /** The page of faults and failures. */
  readonly markdown?: boolean;
}

/** `lodestub list`. @throws LodestubError `command.unknown-word`, `command.conflict` */
export async function listCommand(what: string, { json, markdown }: ListOptions): Promise<void> {
  const list = Object.hasOwn(LISTS, what) ? LISTS[what] : undefined;
  if (list === undefined) throw unknownWord('list', what, Object.keys(LISTS));
  if (markdown === true) {
    if (what !== 'faults' || json === true) {
      const received = `list ${what}${json === true ? ' --json' : ''}`;
      const hint = 'The page has both faults and failures.';
      throw new LodestubError({
        code: 'command.conflict',
        path: '--markdown',
        expected: 'list faults',
        received,
        hint,
      });
    }
    process.stdout.write(await (await import('./faults-page.js')).faultsPage());
    return;
  }
  const rows = await list();
  process.stdout.write(`${json === true ? JSON.stringify(rows, null, 2) : table(rows)}\n`);
}

async function listFaults(): Promise<readonly Row[]> {
  const { FAULT_KINDS } = await import('../faults/registry.js');
  const { settingsOf } = await import('../faults/settings-of.js');
  return FAULT_KINDS.map((kind) => {
    const { name, title, stage, goodHost } = kind;
    return { name, title, stage, settings: settingsOf(kind), goodHost, file: `src/faults/kinds/${name}.ts` };
  });
}

async function listFailures(): Promise<readonly Row[]> {
  const { FIELD_FAILURES, scenarioOfFailure } = await import('../faults/catalogue.js');
  return FIELD_FAILURES.map((failure) => {
    const { id, sees, ...rest } = failure;
    return { name: id, title: sees, ...rest, scenario: scenarioOfFailure(failure) };
  });
}

function table(rows: readonly Row[]): string {
  const width = Math.max(0, ...rows.map(({ name }) => name.length));
  return rows.map(({ name, title }) => `${name.padEnd(width)}  ${title}`).join('\n');
}
