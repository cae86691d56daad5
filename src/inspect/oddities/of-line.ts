import { checksum } from '../../emit/sentences/checksum.js';
import type { Heard } from '../../grammar/heard-epoch.js';
import type { Piece } from '../../grammar/splitter.js';
import { binaryOf } from './binary-runs.js';
import { ODDITIES_OF_ARRIVAL } from './of-arrival.js';
import { byWatch, type Note, type Recogniser, type Watch } from './recogniser.js';

/** What is left of a sentence: its address, and text. */
const PLAIN = /^\$[A-Z]{5},[\x20-\x7e]*$/;
/** A line of so many printable characters is no sentence that lost its end. */
const ENDLESS = 256;
/** So many sentences show a pattern, and this share of those that are wrong. */
const LEAST_WRONG = 3;
const WRONG_SHARE = 0.5;
/** Sentences of the module's own that come in less than this share of the epochs are answers. */
const ANSWER_SHARE = 0.1;
const FEW_ANSWERS = 3;

/** Oddities of the line: bytes that are lost, foreign or altered, and what ends a line. */
export const ODDITIES_OF_LINE: readonly Recogniser[] = [
  binaryOf('garbage-bytes'),
  binaryOf('binary-between'),
  byWatch('cut-then-dollar', 'bad', (note) => {
    let cut: Piece | null = null;
    return {
      heard: ({ piece, sentence }) => {
        if (cut !== null) note(cut);
        const isWhole = sentence.checksum === 'good' || sentence.checksum === 'bad';
        cut = piece.ending === '' && !isWhole && PLAIN.test(piece.text) ? piece : null;
      },
      noise: () => {
        cut = null;
      },
    };
  }),
  byWatch('glued-no-newline', 'bad', (note) => {
    let open: Piece | null = null;
    return {
      heard: ({ piece, sentence }) => {
        if (open !== null) note(open);
        open = piece.ending === '' && sentence.checksum === 'good' ? piece : null;
      },
    };
  }),
  byWatch('line-ending-variants', 'bad', (note) => ({
    heard: ({ piece, sentence }) => {
      if (piece.ending !== '' && piece.ending !== '\r\n' && sentence.checksum === 'good') note(piece);
    },
  })),
  byWatch('nul-before-dollar', 'bad', (note) => {
    let isNul = false;
    return {
      noise: ({ text, ending }) => {
        isNul = ending === '' && text.endsWith('\0');
      },
      heard: ({ piece }) => {
        if (isNul && piece.text.startsWith('$')) note(piece);
        isNul = piece.ending === '' && piece.text.endsWith('\0');
      },
    };
  }),
  byWatch('endless-line', 'bad', (note) => {
    const look = (piece: Piece) => {
      if (piece.text.length < ENDLESS) return;
      const printable = piece.text.replace(/[^\x20-\x7e]/g, '').length;
      if (printable >= 0.95 * piece.text.length) note(piece);
    };
    return { noise: look, heard: ({ piece }) => look(piece) };
  }),
  byWatch('bit-errors', 'bad', watchBitErrors),
  byWatch('host-overrun', 'bad', watchOverrun),
  byWatch('boot-banner-text', 'remark', (note) => {
    let hasBegun = false;
    return {
      of: {
        TXT: ({ piece, decoded, sentence }) => {
          const isFirst = Number(sentence.fields[1]) === 1;
          // One line is told of by its numbers as a text of one part.
          if (!hasBegun && decoded?.of === 'TXT' && (Number(sentence.fields[0]) > 1 || !isFirst)) note(piece);
        },
      },
      epoch: () => {
        hasBegun = true;
      },
    };
  }),
  byWatch('command-amid-stream', 'remark', (note) => {
    let answers = 0;
    let epochs = 0;
    return {
      heard: ({ piece, sentence }) => {
        if (sentence.kind !== 'proprietary' || sentence.checksum === 'bad') return;
        answers += 1;
        note(piece);
      },
      epoch: () => {
        epochs += 1;
      },
      end: () => answers <= Math.max(FEW_ANSWERS, ANSWER_SHARE * epochs),
    };
  }),
  ...ODDITIES_OF_ARRIVAL,
];

/** Most of the wrong checksums differ from the right ones in one bit: one bit of the sentence was another. */
function watchBitErrors(note: Note): Watch {
  let wrong = 0;
  let single = 0;
  return {
    heard: ({ piece, sentence: { checksum: verdict, given } }) => {
      if (verdict !== 'bad' || given === null) return;
      wrong += 1;
      const star = piece.text.lastIndexOf('*');
      const difference = Number.parseInt(checksum(piece.text.slice(1, star)), 16) ^ Number.parseInt(given, 16);
      if ((difference & (difference - 1)) !== 0) return;
      single += 1;
      note(piece);
    },
    end: () => single >= LEAST_WRONG && single >= WRONG_SHARE * wrong,
  };
}

/** Most of the damaged sentences are shorter than any that is right, and hold nothing that is no text. */
function watchOverrun(note: Note): Watch {
  const shortest = new Map<string, number>();
  let wrong = 0;
  let short = 0;
  return {
    heard: ({ piece, sentence }: Heard) => {
      const { checksum: verdict, address } = sentence;
      if (verdict === 'absent') return;
      const { length } = piece.text;
      if (verdict === 'good') {
        if (sentence.kind === 'standard') shortest.set(address, Math.min(shortest.get(address) ?? Infinity, length));
        return;
      }
      wrong += 1;
      const least = shortest.get(address);
      if (least === undefined || length >= least || /[^\x20-\x7e]/.test(piece.text)) return;
      short += 1;
      note(piece);
    },
    end: () => short >= LEAST_WRONG && short >= WRONG_SHARE * wrong,
  };
}
