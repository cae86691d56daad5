import { readFile } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { LodestubError } from '../../src/base/error.js';
import { DEAF } from '../../src/dialect/deaf.js';
import { listDialects, readDialect, resolveDialect } from '../../src/scenario/dialect.js';
import { DIALECT_ERROR_CODES } from '../../src/scenario/dialect-codes.js';
import { DIALECT_SCHEMA } from '../../src/scenario/dialect-schema.js';
import { NODE_FILES } from '../../src/scenario/files.js';
import { dialectJsonSchema } from '../../src/scenario/json-schema.js';
import { resolveModule } from '../../src/scenario/shipped.js';
import { inMemory } from './helper.js';

const MARK = 'lodestub-dialect: 1\n';

function errorOf(text: string): LodestubError {
  try {
    readDialect(text, 'mine.yaml', 'mine');
  } catch (error) {
    if (error instanceof LodestubError) return error;
    throw error;
  }
  throw new Error(`read without an error: ${text}`);
}

/** A command with a capture of each kind. */
const RATE = 'name: rate, sentence: "PTST,RATE,{rate}", with: { rate: { number: Hz, range: [1, 10] } }';
const FRAMES = 'frames: [{ start: "C7 19", length: { at: 2 } }]\n';
const crcFrame = (checksum: string) => `${MARK}frames: [{ start: "C7", length: { at: 1 }, checksum: ${checksum} }]\n`;
const command = (text: string) => `${MARK}commands:\n  - { ${text} }\n`;

/** What is wrong, the code, and part of the message. */
const MISTAKES: ReadonlyArray<readonly [text: string, code: string, part: RegExp]> = [
  ['title: Mine\n', 'dialect.version', /lodestub-dialect: 1.*Write lodestub-dialect: 1 as the first line/],
  ['lodestub-module: 1\n', 'dialect.version', /it is a module profile/],
  ['lodestub-dialect: 2\n', 'dialect.version', /got 2/],
  ['', 'dialect.syntax', /Its first line is lodestub-dialect: 1/],
  [`${MARK}ecko: true\n`, 'dialect.unknown-key', /line 2.*Did you mean echo/],
  [`${MARK}checksum: always\n`, 'dialect.unknown-word', /required, optional, none/],
  [`${MARK}delay: 20\n`, 'dialect.unit', /20 s/],
  [`${MARK}delay: 2 h\n`, 'dialect.range', /0 s to 10 min/],
  [`${MARK}act: soon\n`, 'dialect.type', /at once, after reply, or after a time/],
  [command('name: a'), 'dialect.required', /sentence, line, body/],
  [command('sentence: PTST'), 'dialect.required', /the key name is missing/],
  [command('name: a, sentence: PTST, line: x'), 'dialect.one-of', /only one of the keys/],
  [command('name: a, sentence: "{x},A"'), 'dialect.type', /commands\.1\.sentence.*first field is fixed/],
  [command('name: a, sentence: "PTST,{X}"'), 'dialect.type', /captures such as \{rate\}/],
  [command('name: a, sentence: "PTST,{x}{y}"'), 'dialect.type', /text between two captures/],
  [command('name: a, sentence: "PTST,{x...},1"'), 'dialect.type', /as the last field/],
  [command('name: a, sentence: "PTST,{x},{x}"'), 'dialect.range', /x twice/],
  [command('name: a, sentence: "PTST,{x}", with: { y: { text: 4 } }'), 'dialect.unknown-word', /with\.y.*one of x/],
  [command('name: a, sentence: "PTST,{x}", with: { x: { nmber: Hz } }'), 'dialect.unknown-key', /number/],
  [command('name: a, sentence: "PTST,{x}", with: { x: { number: kHz, range: [1, 2] } }'), 'dialect.unknown-word', /Hz/],
  [command('name: a, sentence: "PTST,{x}", with: { x: { number: Hz } }'), 'dialect.required', /range/],
  [
    command('name: a, sentence: "PTST,{x}", with: { x: { integer: [9, 1] } }'),
    'dialect.range',
    /least before the most/,
  ],
  [command('name: a, sentence: "PTST,{x}", with: { x: { integer: 5 } }'), 'dialect.type', /such as \[0\.1, 10\]/],
  [
    command('name: a, sentence: "PTST,{x?}", with: { x: { integer: [1, 9], default: 10 } }'),
    'dialect.range',
    /allowed/,
  ],
  [command(`${RATE}, do: { interval: "{rat}" }`), 'dialect.unknown-word', /do\.interval.*one of rate/],
  [command(`${RATE}, do: { interval: {rate} }`), 'dialect.type', /"\{rate\}", in quotes/],
  [command(`${RATE}, do: { start: "{rate}" }`), 'dialect.type', /a capture that is a word/],
  [command(`${RATE}, do: sleep`), 'dialect.unknown-word', /standby, save, forget/],
  [command(`${RATE}, do: { interval: 1 ms }`), 'dialect.range', /20 ms to 10 s/],
  [command(`${RATE}, do: { baud: 3 }`), 'dialect.range', /50 to 10000000/],
  [command(`${RATE}, do: { sentences: { GGX: 1 } }`), 'dialect.unknown-word', /GGA/],
  [command(`${RATE}, do: { sentence: GGA }`), 'dialect.required', /every/],
  [
    command('name: a, sentence: "PTST,{x?}", with: { x: { word: { C: cold } } }, do: { start: "{x}" }'),
    'dialect.required',
    /a default/,
  ],
  [command(`${RATE}, reply: "PTST,{rat}"`), 'dialect.unknown-word', /reply\.sentence.*one of rate, version/],
  [command(`${RATE}, reply: "PTST*00"`), 'dialect.type', /checksum are added/],
  [command(`${RATE}, reply: { body: "01" }`), 'dialect.required', /frames/],
  [command(`${RATE}, reply: { last: GGX }`), 'dialect.unknown-word', /GGA/],
  [command(`${RATE}, reply: { sentense: "PTST" }`), 'dialect.unknown-key', /sentence/],
  [`${MARK}replies: { done: "PTST,{rate2}" }\n`, 'dialect.unknown-word', /replies\.done/],
  [command('name: a, body: "01"'), 'dialect.required', /frames, of which this is one/],
  [`${MARK}${FRAMES}commands: [{ name: a, body: "0" }]\n`, 'dialect.type', /bytes in hexadecimal/],
  [`${MARK}${FRAMES}commands: [{ name: a, body: "01 {x:u24}" }]\n`, 'dialect.type', /u16be/],
  [`${MARK}${FRAMES}commands: [{ name: a, body: "01", frame: slim }]\n`, 'dialect.unknown-word', /one of frame/],
  [
    `${MARK}frames: [{ start: C7, length: { at: 1 } }, { start: C8, length: { at: 1 } }]\ncommands: [{ name: a, body: "01" }]\n`,
    'dialect.required',
    /one of frame, frame/,
  ],
  [`${MARK}frames: [{ start: "C7 19 01", length: { at: 2 } }]\n`, 'dialect.range', /length\.at.*3 or more/],
  [
    `${MARK}frames: [{ start: "C7", length: { at: 1 }, checksum: { rule: sum-8, from: 3 } }]\n`,
    'dialect.range',
    /0 to 2/,
  ],
  [`${MARK}frames: [{ start: "C7", length: { at: 9 }, longest: 8 }]\n`, 'dialect.range', /longest.*10 or more/],
  [`${MARK}frames: [{ start: 12, length: { at: 1 } }]\n`, 'dialect.type', /in quotes/],
  [`${MARK}frames: [{ start: "C7", length: { at: 1, bytes: 3 } }]\n`, 'dialect.unknown-word', /1, 2 or 4/],
  [
    `${MARK}frames: [{ start: "C7", length: { at: 1 }, checksum: { rule: crc-64 } }]\n`,
    'dialect.unknown-word',
    /crc-16.*crc-32/,
  ],
  [crcFrame('{ rule: { width: 12, polynomial: 3 } }'), 'dialect.unknown-word', /8, 16, 24 or 32/],
  [crcFrame('{ rule: { width: 16 } }'), 'dialect.required', /polynomial/],
  [crcFrame('{ rule: { width: 16, polynomial: 0x11021 } }'), 'dialect.range', /rule\.polynomial.*at most 16 bits/],
  [crcFrame('{ rule: crc-16, init: 0x10000 }'), 'dialect.range', /checksum\.init.*at most 16 bits/],
  [crcFrame('{ rule: sum-8, init: 1 }'), 'dialect.one-of', /beside the name of a CRC/],
  [`${command('name: a, line: y')}  - { name: a, line: x }\n`, 'dialect.range', /commands\.2\.name.*commands\.1/],
  [
    `${command('name: a, sentence: "PTST,{x}"')}  - { name: b, sentence: "PTST,{y}" }\n`,
    'dialect.range',
    /commands\.2\.sentence.*commands\.1, which takes all/,
  ],
  [
    `${MARK}${FRAMES}commands: [{ name: a, body: "01 {x:u8}" }, { name: b, body: "01{y:u8}" }]\n`,
    'dialect.range',
    /commands\.2\.body/,
  ],
  [`${MARK}frames: [{ start: "24", length: { at: 1 } }]\n`, 'dialect.range', /frames\.1\.start.*a sentence’s \$/],
  [`${MARK}frames: [{ start: "24 50", length: { at: 2 } }]\n`, 'dialect.range', /no letter or digit/],
  [`${MARK}${FRAMES}commands: [{ name: a, body: "01", reply: "0" }]\n`, 'dialect.type', /A0 \{baud:u32be\}/],
];

describe('a mistake in a dialect', () => {
  it.each(MISTAKES)('%j is told by code, place and way out: %s', (text, code, part) => {
    const error = errorOf(text);
    expect(error.code).toBe(code);
    expect(error.message).toMatch(part);
    expect(error.message).toMatch(text === '' ? /mine\.yaml/ : /mine\.yaml, line \d+, column \d+/);
    expect(Object.keys(DIALECT_ERROR_CODES)).toContain(code);
  });

  it('among several the first is told, and where the others are', () => {
    const text = `${MARK}commands:\n  - { ${RATE}, reply: "PTST,{no}" }\n  - { name: b, sentence: "{x}" }\n`;
    expect(errorOf(text).message).toMatch(/line 3.*commands\.1\.reply.*1 more mistake at line 4/);
  });
});

describe('what is no mistake in a dialect', () => {
  it.each([
    ['frames behind a dollar sign that no sentence has', `${MARK}frames: [{ start: "24 40", length: { at: 2 } }]\n`],
    ['one without sentences', `${MARK}queries: false\nframes: [{ start: "24", length: { at: 1 } }]\n`],
    [
      'one pattern with other values',
      `${command(RATE)}  - { ${RATE.replace('rate,', 'b,').replace('[1,', '[0.2,')} }\n`,
    ],
    [
      'one pattern with another checksum',
      `${command('name: a, sentence: P')}  - { name: b, sentence: P, checksum: none }\n`,
    ],
  ])('%s', (_, text) => {
    expect(readDialect(text, 'mine.yaml', 'mine').name).toBe('mine');
  });
});

describe('a dialect by name', () => {
  it('none is deaf; shipped ones are listed with a title each', async () => {
    expect(await resolveDialect('none', '', NODE_FILES)).toBe(DEAF);
    const listed = await listDialects();
    expect(listed.map(({ name }) => name)).toEqual(['counted-frames', 'echo', 'lodestub']);
    for (const { name, title } of listed) {
      expect(await resolveDialect(name, '', NODE_FILES)).toMatchObject({ name, title });
      expect(title).not.toBe(name);
    }
  });

  it('is a file relative to the module that names it', async () => {
    const files = inMemory({
      'a/m/mine.yaml': 'lodestub-module: 1\ndialect: ../d/own.yaml\n',
      'a/d/own.yaml': `${MARK}title: Own\n`,
    });
    const { dialect } = await resolveModule('./m/mine.yaml', 'a', files);
    expect(dialect).toMatchObject({ name: 'own', title: 'Own', echo: false });
  });

  it('the default of a module is lodestub', async () => {
    expect((await resolveModule('single-band-9600')).dialect.name).toBe('lodestub');
  });

  it.each([
    ['lodestob', 'dialect.unknown-name', /Did you mean lodestub/],
    ['./nowhere.yaml', 'dialect.missing', /there is no such file/],
  ])('%s: %s', async (name, code, part) => {
    const error = await resolveDialect(name, '', NODE_FILES).catch((thrown: unknown) => thrown);
    expect(error).toMatchObject({ code });
    expect((error as Error).message).toMatch(part);
  });
});

describe('the schema of a dialect', () => {
  const schema = dialectJsonSchema() as {
    readonly required: string[];
    readonly properties: Record<string, { description?: string }>;
  };

  it('requires the version alone, and describes every key', () => {
    expect(schema.required).toEqual(['lodestub-dialect']);
    for (const [key, { description }] of Object.entries(schema.properties))
      expect(description, key).toBeTypeOf('string');
  });

  it('knows every key of the shipped files', async () => {
    for (const { file } of await listDialects()) {
      const raw = parse(await readFile(file, 'utf8')) as Record<string, unknown>;
      expect(Object.keys(schema.properties)).toEqual(expect.arrayContaining(Object.keys(raw)));
      expect(DIALECT_SCHEMA.safeParse(raw).success).toBe(true);
    }
  });

  it('a dialect of nothing but the version answers queries, and knows no command', () => {
    expect(readDialect(MARK, 'mine.yaml', 'mine')).toMatchObject({ name: 'mine', title: 'mine', echo: false });
  });
});
