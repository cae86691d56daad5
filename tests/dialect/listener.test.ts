import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Command, Dialect, HostListener } from '../../src/dialect/command.js';
import { frame } from '../../src/emit/sentences/checksum.js';
import { ALL_FEATURES } from './all-features.js';
import {
  answers,
  ascii,
  countedFrame,
  dialect,
  FACTS,
  heard,
  hex,
  sentence,
  shipped,
  told,
  understood,
} from './helper.js';

let own: Dialect;
let binary: Dialect;
beforeAll(async () => {
  own = await shipped('lodestub');
  binary = await shipped('counted-frames');
});

/** A dialect of text and frames. */
const MIXED = dialect(`
lines: { replies: { done: OK, unknown: "?" } }
frames: [ { start: "C7 19", length: { at: 2, bytes: 2 }, longest: 600, checksum: { rule: sum-8 } } ]
commands:
  - { name: version, line: "VER?" }
  - { name: rate, sentence: "PTST,RATE,{rate}", with: { rate: { number: Hz, range: [1, 10] } }, do: { interval: "{rate}" } }
  - { name: save, body: "05", do: save }
`);
const SAVE = hex('C719 0001 05 06');

describe('the standard’s query (NMEA 0183, from memory)', () => {
  it('to the module’s talker, GN or GP is answered by that sentence', () => {
    for (const talker of ['GP', 'GL', 'GN']) {
      const [command] = heard(own, sentence(`CC${talker}Q,GGA`));
      expect(command).toMatchObject({ verdict: 'done', name: 'query', actions: [] });
      expect(command?.replies).toEqual([{ kind: 'sentence', sentence: 'GGA', delayMs: 20 }]);
    }
  });

  it.each([
    ['to another talker', sentence('CCECQ,GGA')],
    ['for a sentence that there is not', sentence('CCGPQ,XYZ')],
    ['for one that the module does not have', sentence('CCGPQ,THS')],
    ['with a wrong checksum', ascii('$CCGPQ,GGA*00\r\n')],
    ['without its checksum, where one is required', ascii('$CCGPQ,GGA\r\n')],
  ])('%s is not answered', (_what, bytes) => {
    const facts = { ...FACTS, known: FACTS.known.filter((name) => name !== 'THS') };
    const [command, ...more] = own.listen().take(bytes, 0, facts);
    expect(more).toEqual([]);
    expect(command).toMatchObject({ name: 'query', replies: [], actions: [] });
  });

  it('can be switched off', () => {
    const [command] = heard(dialect('queries: false\ncommands: [{ name: a, sentence: PTST }]'), sentence('CCGPQ,GGA'));
    expect(command).toMatchObject({ verdict: 'unknown', replies: [] });
  });
});

describe('a sentence', () => {
  it('is understood with lower-case checksum digits, and with CR or LF alone', () => {
    const text = frame('PLDB,BAUD,57600');
    expect(text).toMatch(/\*[0-9A-F]*[A-F]/);
    for (const end of ['\r', '\n', '\r\n']) expect(told(heard(own, ascii(text + end)))).toEqual(['done BAUD']);
    expect(told(heard(own, ascii(`${text.slice(0, -2)}${text.slice(-2).toLowerCase()}\r\n`)))).toEqual(['done BAUD']);
  });

  it.each(['required', 'optional', 'none'])('with checksum: %s', (policy) => {
    const file = `checksum: ${policy}\nreplies: { wrong-checksum: "PTST,SUM" }\ncommands: [{ name: a, sentence: PTST }]`;
    const verdict = (text: string) => heard(dialect(file), ascii(`${text}\r\n`))[0]?.verdict;
    expect(verdict(frame('PTST'))).toBe('done');
    expect(verdict('$PTST')).toBe(policy === 'required' ? 'bad-checksum' : 'done');
    expect(verdict('$PTST*00')).toBe(policy === 'none' ? 'done' : 'bad-checksum');
    expect(verdict('$PTST*4')).toBe(policy === 'none' ? 'done' : 'bad-checksum');
  });

  it('unknown, refused or damaged is answered as the file says, and only where it is meant for the module', () => {
    const reply = (body: string) => answers(heard(ALL_FEATURES, sentence(body)));
    expect(reply('PTST,RATE,99Hz')).toEqual([frame('PTST,NO,rate-hz,99Hz')]);
    expect(reply('PTST,WHAT,1')).toEqual([frame('PTST,HUH,WHAT')]);
    expect(reply('POTH,WHAT,1')).toEqual([]);
    expect(answers(heard(ALL_FEATURES, ascii('$PTST,WHAT,1*00\r\n')))).toEqual([frame('PTST,SUM'), '15']);
    expect(answers(heard(ALL_FEATURES, ascii('$POTH,WHAT,1*00\r\n')))).toEqual([]);
  });

  it('what a later command takes is not refused on account of an earlier one', () => {
    const [hz, s, fixed] = ['5Hz', '0.5s', 'SLOW'].map((rate) => heard(ALL_FEATURES, sentence(`PTST,RATE,${rate}`))[0]);
    expect(hz?.actions).toEqual([{ do: 'set-interval', epochMs: 200 }]);
    expect(s?.actions).toEqual([{ do: 'set-interval', epochMs: 500 }]);
    expect(fixed).toMatchObject({ actions: [{ do: 'set-interval', epochMs: 2000 }], actAfter: 0 });
  });

  it('captures: parts of a field, blank ones with a default, all that are left', () => {
    expect(answers(heard(ALL_FEATURES, sentence('PTST,NOTE,ab:c:d')))).toEqual([frame('PTST,NOTE,c:d-ab')]);
    expect(heard(ALL_FEATURES, sentence('PTST,MENU,RMC,,GGA,VTG,GGA'))[0]?.actions).toEqual([
      { do: 'set-sentence', sentence: 'RMC', every: 1 },
      {
        do: 'set-sentences',
        sentences: [
          { name: 'GGA', every: 1 },
          { name: 'VTG', every: 1 },
        ],
      },
    ]);
    expect(heard(own, sentence('PLDB,EVERY,GSV'))[0]?.actions).toEqual([
      { do: 'set-sentence', sentence: 'GSV', every: 1 },
    ]);
    expect(told(heard(own, sentence('PLDB,EVERY,GSV,1,1')))).toEqual(['unknown']);
    expect(told(heard(own, sentence('PLDB,ONLY')))).toEqual(['unknown']);
    expect(told(heard(own, sentence('PLDB,ONLY,GGA,NIX')))).toEqual(['refused ONLY']);
  });

  it('a rate whose interval is not whole milliseconds is refused', () => {
    for (const rate of ['3', '7', '0', '-1', '1e1', '0x5', '', ' 5', '51', '0.09', 'NaN', '5.']) {
      const expected = rate === '5.' ? 'done RATE' : 'refused RATE';
      expect(told(heard(own, sentence(`PLDB,RATE,${rate}`))), rate).toEqual([expected]);
    }
  });

  it('what the host sent cannot break the answer: reserved characters and length', () => {
    const [text] = answers(heard(own, sentence(`PLDB,${'W'.repeat(50)}~^`)));
    expect(text).toBe(frame(`PLDB,ACK,${'W'.repeat(20)},2`));
    expect(answers(heard(own, sentence('PLDB,A~B*C')))).toEqual([frame('PLDB,ACK,A_B_C,2')]);
  });
});

describe('a frame', () => {
  it('is understood by its payload, and answered by one', () => {
    const [command] = heard(binary, countedFrame('07 21 00C8'));
    expect(command).toMatchObject({
      verdict: 'done',
      name: 'interval',
      actions: [{ do: 'set-interval', epochMs: 200 }],
    });
    expect(answers([command as Command])).toEqual([countedFrame('07 A0 21').toString('hex')]);
    expect(answers(heard(binary, countedFrame('08 2B')))).toEqual([countedFrame('08A02B03E800002580').toString('hex')]);
    expect(answers(heard(binary, countedFrame('09 2C 02')))).toEqual([
      countedFrame('09A02C').toString('hex'),
      'last GGA',
    ]);
  });

  it('refused, unknown and damaged ones are answered as the file says', () => {
    expect(answers(heard(binary, countedFrame('01 21 0005')))).toEqual([countedFrame('01 A1 21').toString('hex')]);
    expect(answers(heard(binary, countedFrame('02 77')))).toEqual([countedFrame('02 A2 77').toString('hex')]);
    const damaged = heard(binary, countedFrame('03 28', { damage: 1 }));
    expect(told(damaged)).toEqual(['bad-checksum']);
    expect(answers(damaged)).toEqual([countedFrame('03 A3').toString('hex')]);
  });

  it('numbers with a sign, little end first; length over the whole frame; bytes that do not matter', () => {
    const covered = hex('C719 0103 12000000 0CFE AAAA 77');
    covered[4] = covered.length + 3 + 1;
    const crc = Buffer.alloc(3);
    // The CRC is the authority test's; here it is taken from the reply's own check by the listener.
    const whole = (sum: number) => {
      crc.writeUIntBE(sum, 0, 3);
      return Buffer.concat([covered, crc, hex('0A')]);
    };
    const sum = crc24q(covered);
    const [command] = heard(ALL_FEATURES, whole(sum));
    expect(command).toMatchObject({ verdict: 'done', name: 'signed' });
    expect(answers([command as Command])[0]).toMatch(/^c7190103.{8}fe0c/);
  });

  it.each([1, 2, 4] as const)('with a length of %i bytes, either order and every way of counting', (bytes) => {
    for (const order of ['little', 'big']) {
      for (const [counts, value] of Object.entries({
        payload: 3,
        body: 5,
        'payload-and-checksum': 4,
        rest: 6,
        frame: 10 + bytes,
      })) {
        const file = `
frames:
  - { start: "C7 19", length: { at: 4, bytes: ${bytes}, order: ${order}, counts: ${counts} }, checksum: { rule: xor-8, from: 2 }, end: "0D 0A", replies: { done: "A1 A2 {field5:u8} 2E" } }
commands: [ { name: a, body: "11 22 {x:u16be} 33" } ]`;
        const length = Buffer.alloc(bytes);
        if (order === 'little') length.writeUIntLE(value, 0, bytes);
        else length.writeUIntBE(value, 0, bytes);
        const covered = Buffer.concat([hex('1122'), length, hex('123433')]);
        const sum = covered.reduce((a, b) => a ^ b, 0);
        const whole = Buffer.concat([hex('C719'), covered, Buffer.from([sum]), hex('0D0A')]);
        const commands = heard(dialect(file), whole);
        expect(told(commands), `${order} ${counts}`).toEqual(['done a']);
        // The answer has a payload of two bytes, one less.
        const [answer] = answers(commands);
        expect(answer?.length).toBe(2 * (whole.length - 1));
        expect(answer).toMatch(/^c719a1a2.*332e..0d0a$/);
      }
    }
  });
});

/** Bit by bit. */
function crc24q(bytes: Uint8Array): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte << 16;
    for (let i = 0; i < 8; i++) crc = crc & 0x800000 ? ((crc << 1) ^ 0x1864cfb) & 0xffffff : crc << 1;
  }
  return crc;
}

describe('a stream', () => {
  it('of sentences, lines and frames one after the other', () => {
    const stream = Buffer.concat([SAVE, ascii('VER?\r\n'), sentence('PTST,RATE,5'), SAVE, SAVE, ascii('VER?\n')]);
    expect(told(heard(MIXED, stream))).toEqual([
      'done save',
      'done version',
      'done rate',
      'done save',
      'done save',
      'done version',
    ]);
  });

  it.each([
    ['noise', hex('00FF8013')],
    ['the beginning of a sentence', ascii('$GPRMC,12')],
    ['a sentence without its end', ascii(frame('PTST,RATE,1'))],
    ['two dollar signs', ascii('$$')],
    ['the first byte of a frame', hex('C7')],
    ['the start of a frame and a length that is too long', hex('C719 FFFF')],
    ['a frame that was cut', SAVE.subarray(0, 3)],
    ['the beginning of a line', ascii('VE')],
  ])('a command right after %s is understood', (_what, before) => {
    const after = sentence('PTST,RATE,5');
    const listener = MIXED.listen();
    const commands = [...heard(listener, Buffer.concat([before, after])), ...heard(listener, hex(''), listener.dueMs)];
    expect(understood(commands)).toEqual(['done rate']);
  });

  it('a false start that waits for more than comes loses no command behind it: it is done when the time is up', () => {
    const listener = MIXED.listen();
    expect(heard(listener, Buffer.concat([hex('C719 0080'), sentence('PTST,RATE,5'), SAVE]), 100)).toEqual([]);
    expect(listener.dueMs).toBe(1100);
    expect(told(heard(listener, hex(''), 1099))).toEqual([]);
    expect(told(heard(listener, hex(''), 1100))).toEqual(['noise', 'done rate', 'done save']);
    expect(listener.dueMs).toBe(Infinity);
  });

  it('a false start whose checksum turns out wrong is told as a damaged frame, and the command in it is done', () => {
    const inside = Buffer.concat([SAVE, ascii('VER?\r')]);
    const seeming = Buffer.concat([hex('C719 00'), Buffer.from([inside.length]), inside, hex('00')]);
    expect(told(heard(MIXED, Buffer.concat([seeming, SAVE])))).toEqual([
      'bad-checksum',
      'done save',
      'done version',
      'done save',
    ]);
  });

  it('text that is typed by hand has time; a frame has not', () => {
    const listener = MIXED.listen();
    const typed = sentence('PTST,RATE,5');
    const commands: Command[] = [];
    for (const [i, byte] of typed.entries()) commands.push(...heard(listener, Buffer.from([byte]), i * 1500));
    expect(told(commands)).toEqual(['done rate']);
    expect(heard(listener, SAVE.subarray(0, 4), 100_000)).toEqual([]);
    expect(understood(heard(listener, SAVE.subarray(4), 101_000))).toEqual([]);
  });

  it('an endless line is noise as a whole, and is not held', () => {
    const listener = MIXED.listen();
    const endless = ascii(`${'VER?'.repeat(5000)}VER?\r\nVER?\r\n`);
    expect(understood(heard(listener, endless))).toEqual(['done version']);
    const overlong = Buffer.concat([ascii(`$PTST,${'9'.repeat(5000)}`), sentence('PTST,RATE,2')]);
    expect(understood(heard(listener, overlong))).toEqual(['done rate']);
  });

  it('power off: what had begun is forgotten', () => {
    const listener = MIXED.listen();
    heard(listener, SAVE.subarray(0, 4));
    listener.reset();
    expect(understood(heard(listener, SAVE.subarray(4)))).toEqual([]);
    expect(told(heard(listener, SAVE))).toContain('done save');
  });

  it('line ends alone are nothing at all', () => {
    expect(heard(MIXED, ascii('\r\n\n\r\r\n'))).toEqual([]);
  });
});

describe('how a stream is cut makes no difference', () => {
  const PARTS = [
    ...['PTST,RATE,5', 'PTST,RATE,99', 'CCGPQ,RMC', 'PTST'].map(sentence),
    ascii('VER?\r\n'),
    ascii('nonsense\n'),
    ascii('$PTST,RATE,5*00\r\n'),
    SAVE,
    hex('C719 0001 05 07'),
    hex('C719 0040'),
    hex('C719'),
    hex('C7'),
    ascii('$'),
    hex('00'),
    hex('FF0D'),
  ];

  /** What is understood, and all that is noise in one. */
  function gather(listener: HostListener, pieces: readonly Uint8Array[]): { told: unknown[]; noise: string } {
    const all: Command[] = [];
    for (const piece of pieces) all.push(...heard(listener, piece, 5));
    all.push(...heard(listener, hex(''), 1e6));
    const noise = all
      .filter(({ verdict }) => verdict === 'noise')
      .map(({ bytes }) => Buffer.from(bytes).toString('hex'));
    return { told: all.filter(({ verdict }) => verdict !== 'noise'), noise: noise.join('') };
  }

  it('for any mixture of commands, broken ones and noise', () => {
    fc.assert(
      fc.property(
        fc.array(fc.oneof(fc.constantFrom(...PARTS), fc.uint8Array({ maxLength: 6 })), { maxLength: 12 }),
        fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 20 }),
        (parts, sizes) => {
          const stream = Buffer.concat(parts);
          const pieces: Uint8Array[] = [];
          for (let at = 0, i = 0; at < stream.length; i++) {
            const size = sizes[i % sizes.length] as number;
            pieces.push(stream.subarray(at, at + size));
            at += size;
          }
          expect(gather(MIXED.listen(), pieces)).toEqual(gather(MIXED.listen(), [stream]));
        },
      ),
      { numRuns: 1500 },
    );
  });

  it('nor does it, whether it is looked at when the time is up or later', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.constantFrom(...PARTS), fc.nat({ max: 1500 })), { maxLength: 8 }), (parts) => {
        const [prompt, late] = [MIXED.listen(), MIXED.listen()];
        const [promptly, lately]: [Command[], Command[]] = [[], []];
        let atMs = 0;
        for (const [bytes, pauseMs] of parts) {
          atMs += pauseMs;
          while (prompt.dueMs < atMs) promptly.push(...heard(prompt, hex(''), prompt.dueMs));
          promptly.push(...heard(prompt, bytes, atMs));
          lately.push(...heard(late, bytes, atMs));
        }
        for (const [listener, all] of [
          [prompt, promptly],
          [late, lately],
        ] as const) {
          all.push(...heard(listener, hex(''), 1e6));
        }
        expect(understood(lately)).toEqual(understood(promptly));
      }),
      { numRuns: 500 },
    );
  });
});
