import { existsSync, readFileSync } from 'node:fs';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { listCommand } from '../../src/cli/list-command.js';
import { FIELD_FAILURES } from '../../src/faults/catalogue.js';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { settingsOf } from '../../src/faults/settings-of.js';
import { readScenario } from '../../src/scenario/read.js';

const PAGE = new URL('../../FAULTS.md', import.meta.url);

/** What a command prints on standard output. */
async function printed(...[what, options]: Parameters<typeof listCommand>): Promise<string> {
  let text = '';
  const spy = vi.spyOn(process.stdout, 'write').mockImplementation((chunk) => {
    text += String(chunk);
    return true;
  });
  await listCommand(what, options);
  spy.mockRestore();
  return text;
}

afterEach(() => {
  vi.restoreAllMocks();
});

describe('the page of faults, FAULTS.md', () => {
  it('is what `lodestub list faults --markdown` writes: after a change, write it anew', async () => {
    const page = await printed('faults', { markdown: true });
    expect(existsSync(PAGE)).toBe(true);
    expect(readFileSync(PAGE, 'utf8')).toBe(page);
  });

  it('has every kind with each of its settings, what a good host does, and a record of it', () => {
    const page = readFileSync(PAGE, 'utf8');
    for (const kind of FAULT_KINDS) {
      const part = page.split(/^(?=#{3,4} )/m).find((each) => each.startsWith(`#### ${kind.name}\n`)) as string;
      expect(part, kind.name).toContain(kind.title);
      for (const name of Object.keys(settingsOf(kind))) expect(part).toContain(`- \`${name}\``);
      expect(part).toContain('A good host: ');
      expect(part).toContain(`{"type":"fault","id":"1.1","kind":"${kind.name}","phase":"begin","atMs":20000,`);
      // What acts on what is sent shows what it did.
      if (kind.stage === 'sentence' || kind.stage === 'byte')
        expect(part.match(/^\{"type"/gm)?.length).toBeGreaterThan(1);
    }
  });

  it('has every field failure with its lines', () => {
    const rows = readFileSync(PAGE, 'utf8')
      .split('\n')
      .filter((line) => line.startsWith('| '));
    for (const { id, lines } of FIELD_FAILURES) {
      const row = rows.find((each) => each.startsWith(`| ${id} |`));
      for (const line of lines) expect(row, id).toContain(`\`${line}\``);
      // As many cells as the head: none of the texts has a bar of its own.
      expect(row?.split('|'), id).toHaveLength(9);
    }
  });

  it('gives scenarios that are valid', async () => {
    const blocks = [...readFileSync(PAGE, 'utf8').matchAll(/```yaml\n([^`]+)```/g)].map(([, text]) => text as string);
    expect(blocks).toHaveLength(3);
    const options = { file: 'page', baseFolder: '.', overrides: {} };
    const around = 'lodestub: 1\nroute: [{ hold: 10 min, at: [47.1, 8.2] }]\n';
    await readScenario(around + blocks[0], options);
    for (const block of blocks.slice(1)) await readScenario(block, options);
  });
});

describe('lodestub list failures', () => {
  it('gives a line for each, and with --json all that is known of it', async () => {
    const lines = (await printed('failures', {})).trimEnd().split('\n');
    expect(lines.map((line) => line.split(' ')[0])).toEqual(FIELD_FAILURES.map(({ id }) => id));
    const rows = JSON.parse(await printed('failures', { json: true })) as Record<string, unknown>[];
    for (const [place, row] of rows.entries()) {
      const { id, sees, ...rest } = FIELD_FAILURES[place] as (typeof FIELD_FAILURES)[number];
      expect(row).toMatchObject({ name: id, title: sees, ...rest });
      expect(row.scenario).toContain('lodestub: 1\n');
    }
  });

  it('refuses --markdown for what is no page', async () => {
    await expect(listCommand('failures', { markdown: true })).rejects.toThrow(/^command\.conflict: --markdown: /);
    await expect(listCommand('faults', { markdown: true, json: true })).rejects.toThrow(/^command\.conflict: /);
  });
});
