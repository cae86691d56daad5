import { describe, expect, it } from 'vitest';
import { openPort, parsePortSpec } from '../../../src/emit/ports/open-port.js';

describe('parsePortSpec', () => {
  it.each([
    ['pty', { kind: 'pty' }],
    ['stdout', { kind: 'stdout' }],
    ['memory', { kind: 'memory' }],
    ['/dev/ttyUSB0', { kind: 'serial', path: '/dev/ttyUSB0' }],
    ['COM3', { kind: 'serial', path: 'COM3' }],
    ['tcp:2000', { kind: 'tcp', host: '127.0.0.1', port: 2000 }],
    ['tcp:0', { kind: 'tcp', host: '127.0.0.1', port: 0 }],
    ['tcp:localhost:2000', { kind: 'tcp', host: 'localhost', port: 2000 }],
    ['tcp:[::1]:2000', { kind: 'tcp', host: '::1', port: 2000 }],
    ['udp:10.0.0.2:10110', { kind: 'udp', host: '10.0.0.2', port: 10110 }],
    ['udp:10110', { kind: 'udp', host: '127.0.0.1', port: 10110 }],
    ['file:a:b.nmea', { kind: 'file', path: 'a:b.nmea' }],
    ['mock:/dev/ROBOT', { kind: 'mock', path: '/dev/ROBOT' }],
  ])('%s', (text, expected) => expect(parsePortSpec(text)).toEqual(expected));

  it.each(['', 'ttyUSB0', '2000', 'tcp:', 'tcp:65536', 'tcp:::1:2000', 'udp:0', 'udp:x', 'file:', 'pty:1', 'COM0'])(
    'refuses "%s" and lists the forms',
    (text) => expect(() => parsePortSpec(text)).toThrow(/^port\.spec: port: expected one of pty, .*tcp:\[HOST:\]PORT/),
  );
});

const open = (text: string) => openPort(parsePortSpec(text), { baud: 9600 }, {});

describe('openPort', () => {
  it('names the port that a free number gave', async () => {
    const port = await open('tcp:0');
    expect(port.name).toMatch(/^tcp:127\.0\.0\.1:[1-9]\d+$/);
    await expect(open(port.name)).rejects.toThrow(/^port\.busy: tcp:127/);
    await port.close();
  });

  it('listens on the IPv6 loopback', async () => {
    const port = await open('tcp:[::1]:0');
    expect(port.name).toMatch(/^tcp:\[::1\]:\d+$/);
    await port.close();
  });

  it('says that an address is not of this machine', async () => {
    // 192.0.2.0/24 is for documentation and no machine's own (RFC 5737).
    await expect(open('tcp:192.0.2.1:0')).rejects.toThrow(/^port\.address: /);
  });

  it('says that a device is missing or none, and lists the ports there are', async () => {
    await expect(open('/dev/no-such-port')).rejects.toThrow(/^port\.missing: .*serial ports/i);
    await expect(open('/dev/null')).rejects.toThrow(/^port\.failed: .*serial port/i);
  });

  it('refuses a second mock port of a path, and puts the shared binding back', async () => {
    const { SerialPortMock } = await import('serialport');
    const open1 = SerialPortMock.binding.open;
    const port = await open('mock:/dev/A');
    await expect(open('mock:/dev/A')).rejects.toThrow(/^port\.busy: /);
    expect(SerialPortMock.binding.open).not.toBe(open1);
    await port.close();
    expect(SerialPortMock.binding.open).toBe(open1);
  });
});
