import { describe, expect, it } from 'vitest';
import type { HostListener } from '../../src/dialect/command.js';
import { answers, ascii, countedFrame, dialect, heard, sentence, shipped } from './helper.js';

describe('a line that sends back what the module says', () => {
  /** How often the module says something, until it says no more. */
  function rounds(listener: HostListener, first: Uint8Array): number {
    let said: Uint8Array = first;
    for (let count = 0; count < 20; count++) {
      const replies = heard(listener, said).flatMap(({ replies }) => replies);
      if (replies.length === 0) return count;
      said = Buffer.concat(
        replies.map((reply) => {
          if (reply.kind === 'sentence') return new Uint8Array(0);
          return reply.kind === 'text' ? ascii(`${reply.text}\r\n`) : reply.bytes;
        }),
      );
    }
    return Infinity;
  }

  it('gets no answer to our own dialect’s answers', async () => {
    const lodestub = await shipped('lodestub');
    expect(answers(heard(lodestub, sentence('PLDB,ACK,RATE,0')))).toEqual([]);
    expect(rounds(lodestub.listen(), sentence('PLDB,RATE,5'))).toBe(1);
    expect(rounds(lodestub.listen(), sentence('PLDB,NOSUCH'))).toBe(1);
    expect(rounds(lodestub.listen(), sentence('PLDB,VERSION'))).toBeLessThan(4);
    expect(rounds(lodestub.listen(), sentence('PLDB,SETTINGS'))).toBeLessThan(4);
  });

  it('comes to an end in any dialect that objects', async () => {
    const counted = await shipped('counted-frames');
    expect(rounds(counted.listen(), countedFrame('0121'))).toBeLessThan(5);
    const terse = dialect(`
replies: { unknown: "PTST,HUH,{field2}", wrong-checksum: "PTST,SUM" }
lines: { replies: { unknown: "?" } }
`);
    expect(rounds(terse.listen(), sentence('PTST,A'))).toBeLessThan(5);
    expect(rounds(terse.listen(), ascii('$PTST,A*00\r\n'))).toBeLessThan(5);
    expect(rounds(terse.listen(), ascii('hello\r\n'))).toBeLessThan(5);
  });
});
