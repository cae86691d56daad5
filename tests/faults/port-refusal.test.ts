import { SerialPortMock } from 'serialport';
import { expect, it } from 'vitest';
import { openModule } from '../../src/index.js';
import { roof } from '../run/helper.js';

/** Opens the port as a host. @returns the error's message, '' where there is none */
async function tryToOpen(path: string): Promise<{ host: SerialPortMock; message: string }> {
  const host = new SerialPortMock({ path, baudRate: 9600, autoOpen: false });
  const message = await new Promise<string>((resolve) => host.open((error) => resolve(error?.message ?? '')));
  return { host, message };
}

it('port-refusal turns away whoever opens the port while it is in force; who has it open reads on', async () => {
  const lines: string[] = [];
  const module = await openModule({
    scenario: roof({ timeline: [{ at: '5 s', for: '10 s', fault: 'port-refusal' }] }),
    port: 'mock:/dev/REFUSING',
    onJournal: (line) => lines.push(line),
  });
  const first = (await tryToOpen(module.port)).host;
  let got = '';
  first.on('data', (bytes: Buffer) => {
    got += bytes.toString('latin1');
  });
  module.advance(5000);
  // As a mock port's own lock would turn it away too, it is told by its words.
  expect((await tryToOpen(module.port)).message).toMatch(/Resource temporarily unavailable/);
  await new Promise((resolve) => setImmediate(resolve));
  const before = got.length;
  module.advance(2000);
  await new Promise((resolve) => setTimeout(resolve, 20));
  expect(got.length).toBeGreaterThan(before + 500);
  await new Promise((resolve) => first.close(resolve));
  expect((await tryToOpen(module.port)).message).not.toBe('');
  module.advance(8000);
  const next = await tryToOpen(module.port);
  expect(next.message).toBe('');
  await new Promise((resolve) => next.host.close(resolve));
  await module.close();
  const told = lines.map((line) => JSON.parse(line)).filter(({ type }) => type === 'port');
  expect(told.map(({ event, atMs }) => [event, atMs])).toEqual([
    ['refusing', 5000],
    ['accepting', 15_000],
  ]);
});
