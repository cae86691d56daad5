import { LodestubError } from '../base/error.js';
import { counted } from '../base/words.js';
import { parseSentence } from '../grammar/sentence.js';
import { Splitter } from '../grammar/splitter.js';
import { COMMON_SPEEDS } from './common-speeds.js';

/** How long is listened at each speed, a number a round, ms: a second is the commonest interval of epochs. */
export const ROUNDS_MS: readonly number[] = [1200, 3200];

/** So many sentences with a right checksum end the search at once; at the end of its time one is enough. */
const ENOUGH = 2;
/** In all rounds but the last, so many bytes with such a share of them no text end a speed's turn. */
const GARBAGE_BYTES = 200;
const GARBAGE_SHARE = 0.25;

/** A line that can be listened to at any speed. */
export interface SpeedLine {
  /** From then on bytes are read at this speed. */
  readonly setSpeed: (baud: number) => Promise<void>;
  /** Hands on what comes, a character a byte, for so many ms, or until `take` says true: that is enough. */
  readonly listen: (forMs: number, take: (text: string) => boolean) => Promise<void>;
}

/** What was heard at one speed, in all rounds. */
export interface HeardAtSpeed {
  readonly baud: number;
  readonly bytes: number;
  /** Sentences whose checksum is right. */
  readonly sentences: number;
  /** Bytes that are no text: neither printable ASCII nor CR, LF or tab. */
  readonly strangeBytes: number;
}

/** What a search came to. */
export interface FoundSpeed {
  /** Null: none of those tried. */
  readonly baud: number | null;
  /** Each speed that was listened at, in the order tried. */
  readonly heard: readonly HeardAtSpeed[];
}

/** How a search goes. */
export interface SearchOptions {
  readonly speeds?: readonly number[];
  readonly roundsMs?: readonly number[];
  /** Told of each speed before it is listened at. */
  readonly onTry?: (baud: number) => void;
  /** Asked after each speed: true ends the search. */
  readonly isStopped?: () => boolean;
}

/**
 * Finds out at what speed a line speaks: the first one at which sentences with a right checksum come. Those that are
 * found by chance in bytes read at a wrong speed are too rare to matter: three characters and two digits must fit.
 */
export async function findSpeed(line: SpeedLine, options: SearchOptions = {}): Promise<FoundSpeed> {
  const { speeds = COMMON_SPEEDS, roundsMs = ROUNDS_MS, onTry, isStopped = () => false } = options;
  const heard = new Map<number, HeardAtSpeed>();
  for (const [round, forMs] of roundsMs.entries()) {
    for (const baud of speeds) {
      onTry?.(baud);
      await line.setSpeed(baud);
      const now = await listenAt(line, baud, forMs, round < roundsMs.length - 1);
      const before = heard.get(baud);
      heard.set(baud, before === undefined ? now : together(before, now));
      if (now.sentences > 0) return { baud, heard: [...heard.values()] };
      if (isStopped()) return { baud: null, heard: [...heard.values()] };
    }
  }
  return { baud: null, heard: [...heard.values()] };
}

async function listenAt(line: SpeedLine, baud: number, forMs: number, mayGiveUp: boolean): Promise<HeardAtSpeed> {
  let bytes = 0;
  let sentences = 0;
  let strangeBytes = 0;
  const splitter = new Splitter((piece) => {
    if (piece.kind === 'sentence' && parseSentence(piece.text).checksum === 'good') sentences += 1;
  });
  await line.listen(forMs, (text) => {
    bytes += text.length;
    strangeBytes += strangeIn(text);
    splitter.push(text);
    const isGarbage = bytes >= GARBAGE_BYTES && sentences === 0 && strangeBytes > GARBAGE_SHARE * bytes;
    return sentences >= ENOUGH || (mayGiveUp && isGarbage);
  });
  return { baud, bytes, sentences, strangeBytes };
}

function strangeIn(text: string): number {
  return text.replace(/[\x20-\x7e\r\n\t]/g, '').length;
}

function together(a: HeardAtSpeed, b: HeardAtSpeed): HeardAtSpeed {
  return {
    baud: a.baud,
    bytes: a.bytes + b.bytes,
    sentences: a.sentences + b.sentences,
    strangeBytes: a.strangeBytes + b.strangeBytes,
  };
}

/**
 * Says why no speed was found: a port without data, data that are no sentences at any speed, or text that is none.
 * @param path the port as the user named it
 * @param isStopped the search was ended before its time
 */
export function noSpeedError(path: string, { heard }: FoundSpeed, isStopped = false): LodestubError {
  if (isStopped) {
    const received = `none until it was stopped, ${counted(heard.length, 'speed')} tried`;
    const hint = 'Let it search for longer, or name the speed with --baud.';
    const expected = 'sentences with a right checksum';
    return new LodestubError({ code: 'inspect.no-speed', path, expected, received, hint });
  }
  const bytes = heard.reduce((sum, each) => sum + each.bytes, 0);
  if (bytes === 0) {
    return new LodestubError({
      code: 'inspect.no-data',
      path,
      expected: 'sentences',
      received: `no byte at any of ${heard.length} speeds`,
      hint: 'Check power, cable, and that the module’s transmit line is on the receive pin.',
    });
  }
  const list = heard.map(({ baud, bytes: count }) => `${baud} baud ${count} bytes`).join(', ');
  return new LodestubError({
    code: 'inspect.no-speed',
    path,
    expected: 'sentences with a right checksum',
    received: `none at any speed (${list})`,
    hint: 'The module may send binary, be inverted, or use another speed: name it with --baud.',
  });
}
