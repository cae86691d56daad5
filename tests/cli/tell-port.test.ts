import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { tellPort } from '../../src/cli/tell-port.js';
import { Lodestub, SerialHost, temporaryFolder, until } from './process.js';

const folder = temporaryFolder();

it('a port’s return is told by its name, and by its link where it has one; nothing else is', () => {
  let text = '';
  const out = {
    isTTY: false,
    write: (chunk: unknown) => {
      text += String(chunk);
      return true;
    },
  };
  for (const event of ['gone', 'refusing', 'accepting'] as const) tellPort({ event }, out);
  tellPort({ event: 'back', name: 'tcp:127.0.0.1:2948' }, out);
  tellPort({ event: 'back', name: '/dev/pts/7', link: '/tmp/gnss-2' }, out);
  expect(text).toBe('port: tcp:127.0.0.1:2948 (back)\nport: /dev/pts/7 (back)\nlink: /tmp/gnss-2\n');
});

it.skipIf(process.platform !== 'linux')('run says on standard error where the port is when it is back', async () => {
  const scenario = join(folder, 'loss.yaml');
  const timeline = 'timeline:\n  - { at: 1 s, for: 1 s, fault: port-loss, with: { back: other } }\n';
  writeFileSync(scenario, `lodestub: 1\nroute:\n  - { hold: 20 s, at: [52.375, 9.72, 84 m] }\n${timeline}`);
  const link = join(folder, 'gnss');
  const run = new Lodestub(['run', scenario, '--link', link]);
  const { port } = await run.begun();
  const back = () => /^port: (\/dev\/pts\/\d+) \(back\)\nlink: (.*)\n/m.exec(run.stderr);
  await until(
    () => back() !== null,
    () => run.stderr,
  );
  const [, name, newLink] = back() as unknown as [string, string, string];
  expect(name).not.toBe(port);
  expect(newLink).toBe(`${link}-2`);
  expect(run.stdout.split('\n').filter((line) => line.startsWith('port:'))).toEqual([`port: ${port}`]);
  const host = new SerialHost(newLink, 9600);
  await until(() => host.bytes().includes('\r\n$'), 'a sentence');
  host.signal('SIGTERM');
  run.signal('SIGINT');
  expect((await run.ended).code).toBe(0);
});
