import { closeSync, openSync } from 'node:fs';
import { expect, it } from 'vitest';
import { LINE_SETTINGS_BYTES, loadLinuxCalls, speedOf } from '../../../src/emit/ports/linux-calls.js';
import { openPtyPair } from '../../../src/emit/ports/pty-pair.js';
import { openSerialDevice } from '../../../src/emit/ports/serial-port.js';
import { until } from '../../contract/rigs.js';

/** A pty's slave as a device, held open by a descriptor. */
async function openDevice() {
  let holderFd = -1;
  const pair = await openPtyPair(({ slavePath }) => {
    holderFd = openSync(slavePath, 'r+');
  });
  return { pair, holderFd };
}

it('a device that goes is told once, and all later bytes are lost', async () => {
  const { pair, holderFd } = await openDevice();
  const errors: Error[] = [];
  const port = await openSerialDevice(pair.slavePath, 9600, { failed: (error) => errors.push(error) });
  pair.master.destroy();
  // Seen when nothing is written, too, but not if it falls between two reads of the binding.
  expect(port.write(Buffer.from('$GPTXT*00\r\n'))).toBe(0);
  await until(() => errors.length > 0, 'the error');
  expect(errors.map((error) => error.message)).toEqual([expect.stringMatching(/^port\.gone: \/dev\/pts\/\d+: /)]);
  expect(port.write(Buffer.alloc(10))).toBe(10);
  await port.close();
  closeSync(holderFd);
});

it('a device follows the module’s speed, after what was sent before', async () => {
  const { pair, holderFd } = await openDevice();
  const calls = await loadLinuxCalls();
  const settings = Buffer.alloc(LINE_SETTINGS_BYTES);
  const speed = () => (calls.lineSettings(pair.masterFd, settings) ? speedOf(settings) : 0);
  const errors: Error[] = [];
  let got = '';
  pair.master.on('data', (bytes) => {
    got += `${bytes}@${speed()} `;
  });
  const port = await openSerialDevice(pair.slavePath, 9600, { failed: (error) => errors.push(error) });
  expect(port.write(Buffer.from('before'))).toBe(0);
  // A pty has not sent what its far end has not read; a UART has, once it is drained.
  await until(() => got !== '', 'the bytes');
  port.setSpeed!(57_600);
  await until(() => speed() === 57_600, 'the new speed');
  expect(port.write(Buffer.from('after'))).toBe(0);
  await until(() => got.endsWith('after@57600 '), 'the bytes');
  expect(got).toMatch(/^before@/);
  expect(errors).toEqual([]);
  await port.close();
  pair.master.destroy();
  closeSync(holderFd);
});

it('a device that another has locked is busy', async () => {
  const { pair, holderFd } = await openDevice();
  const first = await openSerialDevice(pair.slavePath, 9600, {});
  await expect(openSerialDevice(pair.slavePath, 9600, {})).rejects.toThrow(/^port\.busy: /);
  await first.close();
  const second = await openSerialDevice(pair.slavePath, 9600, {});
  await second.close();
  pair.master.destroy();
  closeSync(holderFd);
});
