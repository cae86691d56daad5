import { SerialPortMock } from 'serialport';
import { expect, it } from 'vitest';
import { openMockPort } from '../../../src/emit/ports/mock-port.js';

it('tells the coming, the speed and the going of a host, and loses bytes while none is there', async () => {
  const events: unknown[] = [];
  const port = await openMockPort('/dev/EVENTS', { hostEvent: (event) => events.push(event) });
  expect(port.write(Buffer.from('old'))).toBe(3);
  const host = new SerialPortMock({ path: '/dev/EVENTS', baudRate: 9600, autoOpen: false });
  await new Promise((resolve) => host.open(resolve));
  await new Promise((resolve) => host.update({ baudRate: 38400 }, resolve));
  const got = new Promise((resolve) => host.once('data', resolve));
  expect(port.write(Buffer.from('new'))).toBe(0);
  expect(String(await got)).toBe('new');
  await new Promise((resolve) => host.close(resolve));
  expect(events).toEqual([
    { event: 'open' },
    { event: 'speed', baud: 9600 },
    { event: 'speed', baud: 38400 },
    { event: 'close' },
  ]);
  expect(port.write(Buffer.from('gone'))).toBe(4);
  await port.close();
});
