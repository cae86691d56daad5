import type { Piece } from '../../grammar/splitter.js';
import { byWatch, type Note, type Recogniser, type Watch } from './recogniser.js';

/** Bytes that no text has; a NUL by itself is a failure of its own. */
const NO_TEXT = /[^\0\t\n\r -~]/g;
/** Fewer of them are bits that flipped. */
const LEAST_STRANGE = 3;
/** Frames of one protocol begin alike: so many runs, and this share of all. */
const LEAST_FRAMES = 3;
const FRAME_SHARE = 0.5;
/** A single run of so many bytes is no burst of noise. */
const LONG_RUN = 64;
/** Beginnings are counted apart up to so many: noise has any. */
const MOST_STARTS = 500;

/**
 * Bytes that are no text: `binary-between` where most runs of them begin with the same two bytes, as frames of a
 * protocol do, or one run is long; else `garbage-bytes`.
 */
export function binaryOf(id: 'binary-between' | 'garbage-bytes'): Recogniser {
  return byWatch(id, 'bad', (note) => watchRuns(note, id));
}

function watchRuns(note: Note, id: 'binary-between' | 'garbage-bytes'): Watch {
  const starts = new Map<string, number>();
  let runs = 0;
  let isLong = false;
  /** A run goes on over pieces until a sentence that is right: a frame may hold line ends and `$`. */
  let run: { piece: Piece; start: string; length: number; strange: number } | null = null;
  const take = (piece: Piece) => {
    run ??= { piece, start: piece.text.slice(0, 2), length: 0, strange: 0 };
    run.length += piece.text.length + piece.ending.length;
    run.strange += piece.text.match(NO_TEXT)?.length ?? 0;
  };
  const close = () => {
    const over = run;
    run = null;
    if (over === null || over.strange < LEAST_STRANGE) return;
    runs += 1;
    isLong ||= over.length >= LONG_RUN;
    if (starts.size < MOST_STARTS && /[^ -~]/.test(over.start))
      starts.set(over.start, (starts.get(over.start) ?? 0) + 1);
    note(over.piece);
  };
  return {
    noise: take,
    heard: ({ piece, sentence }) => {
      if (sentence.checksum === 'good') close();
      else take(piece);
    },
    end: () => {
      close();
      const most = Math.max(0, ...starts.values());
      const areFrames = most >= LEAST_FRAMES && most >= FRAME_SHARE * runs;
      const isBinary = areFrames || (runs < LEAST_FRAMES && isLong);
      return isBinary === (id === 'binary-between');
    },
  };
}
