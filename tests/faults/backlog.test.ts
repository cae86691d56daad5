import { SerialPortMock } from 'serialport';
import { expect, it } from 'vitest';
import { openModule } from '../../src/index.js';
import { playRun, roof } from '../run/helper.js';

const SIZE = 3000;

/** What a host reads that opens the port at `openMs` and reads until `untilMs`. */
async function readFrom(scenario: Readonly<Record<string, unknown>>, openMs: number, untilMs: number): Promise<string> {
  const module = await openModule({ scenario, port: 'mock:/dev/BACKLOG' });
  module.advance(openMs);
  const host = new SerialPortMock({ path: module.port, baudRate: 9600, autoOpen: false });
  let got = '';
  host.on('data', (bytes: Buffer) => {
    got += bytes.toString('latin1');
  });
  await new Promise<void>((resolve, reject) => host.open((error) => (error ? reject(error) : resolve())));
  module.advance(untilMs - openMs);
  await new Promise((resolve) => setTimeout(resolve, 50));
  await new Promise((resolve) => host.close(resolve));
  await module.close();
  return got;
}

it('backlog gives who opens the port the newest bytes of before, then what comes', async () => {
  const scenario = roof({ timeline: [{ at: '2 s', for: '20 s', fault: 'backlog', with: { size: SIZE } }] });
  const soFar = (await playRun({ scenario, untilMs: 20_000, cutMs: 20_000 })).bytes.toString('latin1');
  const untilOpen = (await playRun({ scenario: roof(), untilMs: 15_000 })).bytes.length;
  const got = await readFrom(scenario, 15_000, 20_000);
  // The run that was stopped at 20 s has finished the sentence that was on the line.
  expect(soFar.slice(untilOpen - SIZE).startsWith(got)).toBe(true);
  expect(got.length).toBeGreaterThan(SIZE + 1500);
});

it('backlog keeps nothing before it, nor for a host that comes when it is over', async () => {
  const scenario = roof({ timeline: [{ at: '2 s', for: '10 s', fault: 'backlog', with: { size: 100_000 } }] });
  const plain = (await playRun({ scenario: roof(), untilMs: 15_000 })).bytes.toString('latin1');
  const before = (await playRun({ scenario: roof(), untilMs: 2000 })).bytes.length;
  const got = await readFrom(scenario, 10_000, 11_000);
  expect(got.length).toBeGreaterThan(4000);
  // The run of 2 s may have finished its sentence a little later than that.
  expect(Math.abs(plain.indexOf(got) - before)).toBeLessThan(82);
  const late = await readFrom(scenario, 12_500, 13_000);
  expect(late.length).toBeLessThan(700);
});
