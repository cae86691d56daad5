import { describe, expect, it } from 'vitest';
import { answers, dialect, heard, hex, understood } from './helper.js';

describe('a frame’s CRC', () => {
  it.each([
    // The catalogue's check values of 123456789, each in the order of bytes that is set.
    ['{ rule: crc-32, order: little }', '2639F4CB'],
    ['{ rule: crc-32 }', 'CBF43926'],
    ['{ rule: crc-16-x25, order: little }', '6E90'],
    ['{ rule: crc-16, init: 0 }', '31C3'],
    ['{ rule: { width: 24, polynomial: 0x864CFB, init: 0xB704CE } }', '21CF02'],
    ['{ rule: { width: 8, polynomial: 7, xor: 0x55 } }', 'A1'],
    ['{ rule: { width: 16, polynomial: 0x8005, reflected-in: true, reflected-out: true } }', 'BB3D'],
  ])('%s', (checksum, crc) => {
    const body = '00 31 32 33 34 35 36 37 38 39';
    const mine = dialect(`
frames:
  - start: C7 C8
    length: { at: 3, bytes: 1 }
    checksum: ${checksum.replace('{', '{ from: 4,')}
commands: [{ name: check, body: "${body}", reply: "${body}" }]
`);
    const frame = hex(`C7C80009 313233343536373839 ${crc}`);
    const commands = heard(mine, frame);
    expect(understood(commands)).toEqual(['done check']);
    expect(answers(commands)).toEqual([frame.toString('hex')]);
    const damaged = Buffer.from(frame);
    damaged[damaged.length - 1] = (damaged.at(-1) as number) ^ 1;
    expect(understood(heard(mine, damaged))).toEqual(['bad-checksum']);
  });
});
