import type { Command, Dialect, HostListener, ModuleFacts } from '../../src/dialect/command.js';
import { frame } from '../../src/emit/sentences/checksum.js';
import { SENTENCE_NAMES } from '../../src/emit/sentences/style.js';
import { readDialect, resolveDialect } from '../../src/scenario/dialect.js';
import { NODE_FILES } from '../../src/scenario/files.js';

/** A module as a listener sees it. */
export const FACTS: ModuleFacts = {
  baud: 9600,
  epochMs: 1000,
  sentences: [
    { name: 'RMC', every: 1 },
    { name: 'GSV', every: 5 },
  ],
  known: SENTENCE_NAMES,
  talkers: ['GP', 'GL', 'GN'],
};

/** A dialect from the text of its file, without the first line. */
export function dialect(text: string): Dialect {
  return readDialect(`lodestub-dialect: 1\n${text}`, 'mine.yaml', 'mine');
}

export function shipped(name: string): Promise<Dialect> {
  return resolveDialect(name, '', NODE_FILES);
}

/** Bytes of text, a byte a character, and of text in hexadecimal. */
export const ascii = (text: string): Buffer => Buffer.from(text, 'latin1');
export const hex = (text: string): Buffer => Buffer.from(text.replace(/\s/g, ''), 'hex');

/** A sentence with its checksum and CR LF. */
export const sentence = (body: string): Buffer => ascii(`${frame(body)}\r\n`);

/** What a listener makes of bytes that come at once. */
export function heard(listener: HostListener | Dialect, bytes: Uint8Array, atMs = 0): readonly Command[] {
  return ('listen' in listener ? listener.listen() : listener).take(bytes, atMs, FACTS);
}

/** Verdicts and names, for a short expectation: `done rate`. */
export function told(commands: readonly Command[]): string[] {
  return commands.map(({ verdict, name }) => (name === null ? verdict : `${verdict} ${name}`));
}

/** Without noise, whose pieces depend on how the stream is cut. */
export function understood(commands: readonly Command[]): string[] {
  return told(commands.filter(({ verdict }) => verdict !== 'noise'));
}

/** Texts of the replies; binary ones in hexadecimal. */
export function answers(commands: readonly Command[]): string[] {
  return commands.flatMap(({ replies }) =>
    replies.map((reply) => {
      if (reply.kind === 'text') return reply.text;
      return reply.kind === 'sentence' ? `last ${reply.sentence}` : Buffer.from(reply.bytes).toString('hex');
    }),
  );
}

/** A cyclic redundancy check by long division, bit by bit, most significant first: no table. */
export function crcByDivision(bytes: Uint8Array, width: number, polynomial: number, init: number): number {
  const top = 2 ** (width - 1);
  let crc = init;
  for (const byte of bytes) {
    for (let bit = 7; bit >= 0; bit--) {
      const isOne = (crc >= top ? 1 : 0) !== ((byte >> bit) & 1);
      crc = (crc * 2) % 2 ** width;
      if (isOne) crc = (crc ^ polynomial) >>> 0;
    }
  }
  return crc;
}

/** A frame of the shipped binary example, built here by its description. */
export function countedFrame(body: string, { damage = 0 } = {}): Buffer {
  const bytes = hex(body);
  const covered = Buffer.concat([bytes.subarray(0, 1), Buffer.from([0, bytes.length - 1]), bytes.subarray(1)]);
  const crc = crcByDivision(covered, 16, 0x1021, 0x1d0f) ^ damage;
  return Buffer.concat([hex('9BE431'), covered, Buffer.from([crc >> 8, crc & 0xff]), hex('4E')]);
}
