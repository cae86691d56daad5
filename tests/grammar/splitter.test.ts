import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LONGEST_LINE, type Piece, Splitter } from '../../src/grammar/splitter.js';
import { piecesOf } from './helper.js';

const GLL = '$GPGLL,4916.45,N,12311.12,W,225444,A*31';
const HDT = '$GPHDT,274.1,T*32';

const briefly = (pieces: readonly Piece[]) => pieces.map(({ kind, text, ending }) => [kind, text, ending]);

/** What streams are made of: parts of sentences, what damages them, and any bytes. */
const PARTS = fc.oneof(
  fc.constantFrom(
    GLL,
    HDT,
    '!AIVDM,1,1,,A,x,0*00',
    '\r\n',
    '\n',
    '\r',
    '$',
    '!',
    '*31',
    '\0',
    '\r\r\n',
    '\r\r\r\r\r\r',
  ),
  fc.uint8Array({ maxLength: 12 }).map((bytes) => String.fromCharCode(...bytes)),
  fc.constantFrom(LONGEST_LINE - 1, LONGEST_LINE, LONGEST_LINE + 1).map((length) => 'a'.repeat(length)),
);
const STREAMS = fc.array(PARTS, { maxLength: 12 }).map((parts) => parts.join(''));

/** A stream cut at some places. */
function cutAt(stream: string, places: readonly number[]): string[] {
  const sorted = [0, ...places.map((place) => place % (stream.length + 1)).sort((a, b) => a - b), stream.length];
  return sorted.slice(1).map((to, i) => stream.slice(sorted[i], to));
}

describe('pieces of a stream', () => {
  it('joined are the stream, at the places and lines that they tell', () => {
    fc.assert(
      fc.property(STREAMS, (stream) => {
        const pieces = piecesOf(stream);
        expect(pieces.map(({ text, ending }) => text + ending).join('')).toBe(stream);
        let at = 0;
        let lineNumber = 1;
        for (const { text, ending, offset, line } of pieces) {
          expect([offset, line]).toEqual([at, lineNumber]);
          expect(text.length + ending.length).toBeGreaterThan(0);
          expect(text.length).toBeLessThanOrEqual(LONGEST_LINE);
          at += text.length + ending.length;
          if (ending !== '') lineNumber += 1;
        }
      }),
    );
  });

  it('are the same however the stream is cut', () => {
    fc.assert(
      fc.property(STREAMS, fc.array(fc.nat(), { maxLength: 30 }), (stream, places) => {
        expect(piecesOf(...cutAt(stream, places))).toEqual(piecesOf(stream));
      }),
    );
    const short = `x\0${GLL}\r${HDT}\r\n\n${GLL}${HDT}\r\r\n$GP`;
    expect(piecesOf(...short)).toEqual(piecesOf(short));
  });

  it.each<[what: string, stream: string, pieces: string[][]]>([
    [
      'CR LF',
      `${GLL}\r\n${HDT}\r\n`,
      [
        ['sentence', GLL, '\r\n'],
        ['sentence', HDT, '\r\n'],
      ],
    ],
    [
      'LF alone',
      `${GLL}\n${HDT}\n`,
      [
        ['sentence', GLL, '\n'],
        ['sentence', HDT, '\n'],
      ],
    ],
    [
      'CR alone',
      `${GLL}\r${HDT}\r`,
      [
        ['sentence', GLL, '\r'],
        ['sentence', HDT, '\r'],
      ],
    ],
    [
      'CR CR LF',
      `${GLL}\r\r\n${HDT}`,
      [
        ['sentence', GLL, '\r\r\n'],
        ['sentence', HDT, ''],
      ],
    ],
    [
      'LF CR',
      `${GLL}\n\r${HDT}`,
      [
        ['sentence', GLL, '\n'],
        ['noise', '', '\r'],
        ['sentence', HDT, ''],
      ],
    ],
    [
      'glued',
      `${GLL}${HDT}\r\n`,
      [
        ['sentence', GLL, ''],
        ['sentence', HDT, '\r\n'],
      ],
    ],
    [
      'cut, then a new one',
      `$GPGLL,49${HDT}\r\n`,
      [
        ['sentence', '$GPGLL,49', ''],
        ['sentence', HDT, '\r\n'],
      ],
    ],
    [
      'NUL before',
      `\0\0${HDT}\r\n`,
      [
        ['noise', '\0\0', ''],
        ['sentence', HDT, '\r\n'],
      ],
    ],
    [
      '! after a checksum',
      `${HDT}!AIVDM,1*00\r\n`,
      [
        ['sentence', HDT, ''],
        ['sentence', '!AIVDM,1*00', '\r\n'],
      ],
    ],
    ['! amid text', 'Ready! Go\r\n', [['noise', 'Ready! Go', '\r\n']]],
    [
      '$ amid binary',
      '\xb5\x62$\x01\xff\r\n',
      [
        ['noise', '\xb5\x62', ''],
        ['noise', '$\x01\xff', '\r\n'],
      ],
    ],
    [
      '$ alone',
      '$\r\n$$\r\n',
      [
        ['noise', '$', '\r\n'],
        ['noise', '$', ''],
        ['noise', '$', '\r\n'],
      ],
    ],
  ])('of %s', (_what, stream, pieces) => {
    expect(briefly(piecesOf(stream))).toEqual(pieces);
  });

  it('of a line without an end are handed on before it ends, and the next sentence is one again', () => {
    const pieces = piecesOf('a'.repeat(2.5 * LONGEST_LINE), `!GPHDT\r\n${HDT}\r\n`);
    expect(pieces.map(({ kind, text }) => [kind, text.length])).toEqual([
      ['noise', LONGEST_LINE],
      ['noise', LONGEST_LINE],
      ['noise', LONGEST_LINE / 2 + 6],
      ['sentence', HDT.length],
    ]);
  });

  it('are handed on with their last byte, and tell when their first and last bytes came', () => {
    const pieces: Piece[] = [];
    const splitter = new Splitter((piece) => pieces.push(piece));
    const times: [string, number][] = [
      ['$GPHDT,27', 10],
      ['4.1,T*32\r', 20],
      ['\n$GPHDT,274.1,T*32\r', 30],
    ];
    for (const [text, atMs] of times) splitter.push(text, atMs);
    expect(pieces).toMatchObject([{ text: HDT, startMs: 10, endMs: 30 }]);
    // Only what comes next shows that this line ended with CR alone.
    splitter.push('$', 900);
    expect(pieces[1]).toMatchObject({ text: HDT, ending: '\r', startMs: 30, endMs: 30 });
    splitter.end();
    expect(pieces[2]).toMatchObject({ text: '$', startMs: 900, endMs: 900 });
  });
});
