import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { ERROR_CODES } from '../../src/cli/error-codes.js';
import { FAULT_KINDS } from '../../src/faults/registry.js';
import { openModule } from '../../src/index.js';
import { readScenario } from '../../src/scenario/read.js';

const readme = readFileSync(new URL('../../README.md', import.meta.url), 'utf8');

/** The first block of code of a language. */
function block(language: string): string {
  const found = new RegExp(`\`\`\`${language}\\n([\\s\\S]*?)\`\`\``).exec(readme);
  if (found === null) throw new Error(`no block of ${language} in the README`);
  return found[1] as string;
}

describe('the README', () => {
  it('shows a scenario that is valid to the last line', async () => {
    const files = { readText: (path: string) => (path.endsWith('.txt') ? 'an almanac' : readFileSync(path, 'utf8')) };
    const scenario = await readScenario(block('yaml'), { file: 'readme.yaml', baseFolder: '.', files });
    expect(scenario.title).toBe('Two legs and a tunnel');
    expect(scenario.timeline).toHaveLength(3);
  });

  it('names kinds of fault that there are, and the page that has them all', () => {
    expect(readme).toContain('[FAULTS.md](FAULTS.md)');
    const named = [...readme.matchAll(/fault: ([a-z-]+)/g)].map(([, name]) => name);
    expect(named.length).toBeGreaterThan(3);
    for (const name of named) expect(FAULT_KINDS.map((kind) => kind.name)).toContain(name);
  });

  it('shows a use of the library that works', async () => {
    const code = block('js').replace("import { openModule } from 'lodestub';", '');
    const run = new Function('openModule', `return (async () => { ${code} return { gnss, text }; })();`);
    const { text } = (await run(openModule)) as { text: string };
    expect(text).toMatch(/\$GPRMC,[\d.]+,A,/);
    expect(text).toMatch(/\$GPRMC,[\d.]+,V,/);
  });

  it('quotes sentences that the built-in scenario sends', async () => {
    const module = await openModule();
    module.advance(60_000);
    const sent = module.read().toString('latin1').split('\r\n');
    await module.close();
    const quoted = readme.match(/^\$G.*$/gm) ?? [];
    expect(quoted.length).toBeGreaterThanOrEqual(7);
    for (const line of quoted) expect(sent).toContain(line);
  });

  it('names error codes that exist', () => {
    for (const [, code] of readme.matchAll(/such as `([a-z]+\.[a-z-]+)`/g))
      expect(ERROR_CODES).toHaveProperty([code as string]);
  });
});
