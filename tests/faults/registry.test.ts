import { existsSync, readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { z } from 'zod';
import { listCommand } from '../../src/cli/list-command.js';
import { FAULT_KINDS } from '../../src/faults/registry.js';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const STAGES = ['signal', 'receiver', 'sentence', 'byte', 'port'];
const NAMES = FAULT_KINDS.map(({ name }) => name);

describe('the registry of faults', () => {
  it('has each name once, in kebab-case and in order', () => {
    expect(new Set(NAMES).size).toBe(NAMES.length);
    for (const name of NAMES) expect(name).toMatch(/^[a-z]+(-[a-z]+)*$/);
    expect(NAMES).toEqual([...NAMES].sort());
  });

  it('has a file for each kind, a kind for each file, and a test for each kind, all of its name', () => {
    const files = readdirSync(`${ROOT}/src/faults/kinds`).map((file) => file.replace(/\.ts$/, ''));
    expect(files.sort()).toEqual(NAMES);
    for (const name of NAMES) expect(existsSync(`${ROOT}/tests/faults/${name}.test.ts`), name).toBe(true);
  });

  it.each(FAULT_KINDS.map((kind) => [kind.name, kind] as const))(
    '%s says what it is and what a host should do',
    (_name, kind) => {
      expect(STAGES).toContain(kind.stage);
      for (const text of [kind.title, kind.goodHost]) expect(text).toMatch(/^[A-Z].*\S$/);
      expect(kind.title.split('\n')).toHaveLength(1);
    },
  );

  it.each(FAULT_KINDS.map((kind) => [kind.name, kind] as const))(
    '%s needs no settings, describes each, and knows no others',
    (_name, kind) => {
      expect(kind.settings.safeParse({}).success).toBe(true);
      expect(kind.settings.safeParse({ nonsense: 1 }).success).toBe(false);
      const schema = z.toJSONSchema(kind.settings, { io: 'input' });
      expect(schema.required ?? []).toEqual([]);
      for (const [key, setting] of Object.entries(schema.properties ?? {})) {
        expect(key).toMatch(/^[a-z]+(-[a-z]+)*$/);
        expect((setting as { description?: string }).description, key).toBeTruthy();
      }
    },
  );

  it.each(FAULT_KINDS.map((kind) => [kind.name, kind] as const))(
    '%s acts at the stage that it declares',
    (_name, kind) => {
      const effect = kind.create(kind.settings.parse({}), { uniform: () => 0.5, normal: () => 0 });
      const hands = {
        signal: ['signal', 'begin', 'end'],
        receiver: ['begin', 'end', 'report'],
        sentence: ['step', 'sentence', 'order'],
        byte: ['before', 'pass', 'baud'],
        port: ['begin', 'end'],
      };
      expect(Object.keys(effect).length).toBeGreaterThan(0);
      for (const key of Object.keys(effect)) expect(hands[kind.stage]).toContain(key);
    },
  );
});

describe('lodestub list faults', () => {
  afterEach(() => {
    vi.restoreAllMocks();
  });

  async function listed(json: boolean): Promise<string> {
    let text = '';
    vi.spyOn(process.stdout, 'write').mockImplementation((chunk) => {
      text += String(chunk);
      return true;
    });
    await listCommand('faults', { json });
    return text;
  }

  it('--json gives name, title, stage, settings and file of every kind', async () => {
    const rows = JSON.parse(await listed(true)) as Record<string, unknown>[];
    expect(rows.map(({ name }) => name)).toEqual(NAMES);
    for (const row of rows) {
      for (const key of ['name', 'title', 'stage', 'file']) expect(typeof row[key], key).toBe('string');
      expect(typeof row.settings).toBe('object');
      expect(existsSync(`${ROOT}/${row.file}`), String(row.file)).toBe(true);
    }
  });

  it('gives a line for every kind', async () => {
    const lines = (await listed(false)).trim().split('\n');
    expect(lines.map((line) => line.split(' ')[0])).toEqual(NAMES);
  });
});
