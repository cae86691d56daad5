import { closeSync, constants, openSync, writeSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { loadLinuxCalls } from '../../../src/emit/ports/linux-calls.js';
import type { ModulePort } from '../../../src/emit/ports/port.js';
import { openPtyPort } from '../../../src/emit/ports/pty-port.js';
import { until } from '../../contract/rigs.js';

const calls = await loadLinuxCalls();

/** A port and all that it tells, in order; `onSpeed` is called as a speed is told, as a run that has to write then. */
async function openWatched(onSpeed: (port: ModulePort) => void = () => {}) {
  const told: string[] = [];
  const port: ModulePort = await openPtyPort(
    { baud: 9600 },
    {
      hostBytes: (bytes) => told.push(Buffer.from(bytes).toString('latin1')),
      hostEvent: (event) => {
        if (event.event === 'speed') onSpeed(port);
        told.push(event.event === 'speed' ? `${event.baud}` : event.event);
      },
    },
  );
  const openHost = () => openSync(port.name, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
  const fd = openHost();
  await until(() => told.includes('open'), 'the host');
  calls.setRaw(fd, 38_400);
  writeSync(fd, 'first');
  await until(() => told.includes('first'), 'its first word');
  expect(told.splice(0)).toEqual(['open', '38400', 'first']);
  return { port, told, fd, openHost };
}

describe('what a host sends', () => {
  it('right after it has changed its speed comes after that, however often', async () => {
    const { port, told, fd } = await openWatched();
    for (const baud of [115_200, 4800, 57_600]) {
      calls.setRaw(fd, baud);
      writeSync(fd, '$PLDB,VERSION*5B\r\n');
      await until(() => told.length >= 2, 'both');
      expect(told.splice(0)).toEqual([`${baud}`, '$PLDB,VERSION*5B\r\n']);
    }
    closeSync(fd);
    await port.close();
  });

  it('comes after the speed also where the module sends meanwhile, and whoever is told of the speed', async () => {
    const { port, told, fd } = await openWatched((of) => of.write(Buffer.from('y')));
    calls.setRaw(fd, 4800);
    writeSync(fd, 'query');
    port.write(Buffer.from('x'));
    await until(() => told.length >= 2, 'both');
    expect(told).toEqual(['4800', 'query']);
    closeSync(fd);
    await port.close();
  });

  it.each([
    ['in text', Buffer.from('$PLDB,BAUD,115200*41\r\n')],
    ['in a binary frame', Buffer.from([0xb5, 0x62, 0, 0xc2, 1, 0, 0xaf])],
  ])('and names, %s, the speed that it takes on at once, comes before that', async (_, request) => {
    for (const isWriting of [false, true]) {
      const { port, told, fd } = await openWatched();
      writeSync(fd, request);
      calls.setRaw(fd, 115_200);
      if (isWriting) port.write(Buffer.from('x'));
      await until(() => told.length >= 2, 'both');
      expect(told).toEqual([request.toString('latin1'), '115200']);
      closeSync(fd);
      await port.close();
    }
  });

  it('last comes after its speed and before its going', async () => {
    const { port, told, fd, openHost } = await openWatched();
    calls.setRaw(fd, 4800);
    writeSync(fd, 'last');
    closeSync(fd);
    port.write(Buffer.from('x'));
    await until(() => told.length >= 3, 'its going');
    expect(told.splice(0)).toEqual(['4800', 'last', 'close']);
    const brief = openHost();
    calls.setRaw(brief, 19_200);
    writeSync(brief, 'brief');
    closeSync(brief);
    port.write(Buffer.from('x'));
    await until(() => told.length >= 4, 'the going of one that was there briefly');
    expect(told).toEqual(['open', '19200', 'brief', 'close']);
    await port.close();
  });
});
