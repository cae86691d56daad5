import { LodestubError } from '../base/error.js';
import { grouped } from '../base/words.js';
import { Splitter } from '../grammar/splitter.js';
import { FirstEpochs } from './first-epochs.js';
import type { InspectReport } from './inspect-report.js';
import { Inspector } from './inspector.js';
import type { StreamEnd, StreamOptions } from './section.js';
import { percent } from './sections/words.js';

/** Some of a stream. */
export interface StreamChunk {
  /** A character a byte (latin1). */
  readonly text: string;
  /** When it came, ms; null: nobody knows. */
  readonly atMs: number | null;
  /** The listening to a live port ended here; the port went, if it says why. */
  readonly end?: { readonly gone: string | null };
}

/** How much of a stream is inspected. */
export interface InspectLimits {
  /** The text that the report carries. */
  readonly caution: string;
  /** Its epochs of the first so long by its own time, s: of 60 s at 1 Hz 60 of them; left out: all. */
  readonly forS?: number;
  /** Asked after each chunk: true ends the inspection with what there is. */
  readonly isStopped?: () => boolean;
}

/** The beginning of a stream is kept, to tell what it is. */
const HEAD_CHARACTERS = 400;
/** More bytes than this share that are no text are binary. */
const BINARY_SHARE = 0.05;

/** What a file that is no NMEA 0183 may be, by its beginning. */
const KINDS: readonly (readonly [RegExp, string])[] = [
  [/RINEX VERSION/, 'a RINEX file'],
  [/^(?:\xef\xbb\xbf)?\s*<\?xml|^\s*<gpx/, 'XML, such as GPX'],
  [/^(?:\xef\xbb\xbf)?\s*[{[]/, 'JSON'],
  [/^PK/, 'a ZIP archive'],
];

/**
 * Inspects a stream as it comes.
 * @throws LodestubError `inspect.empty`, `inspect.not-nmea`, and what reading it throws
 */
export async function inspectStream(
  chunks: AsyncIterable<StreamChunk>,
  options: StreamOptions,
  { caution, forS = Infinity, isStopped = () => false }: InspectLimits,
): Promise<InspectReport> {
  const inspector = new Inspector(options, caution);
  const first = forS === Infinity ? null : new FirstEpochs(forS, (piece) => inspector.put(piece));
  const splitter = new Splitter((piece) => (first ?? inspector).put(piece));
  let head = '';
  let isBroken = false;
  let ended: StreamEnd = { endedMs: null, gone: null };
  for await (const { text, atMs, end } of chunks) {
    if (end !== undefined) ended = { endedMs: atMs, gone: end.gone };
    if (head.length < HEAD_CHARACTERS) head += text.slice(0, HEAD_CHARACTERS - head.length);
    splitter.push(text, atMs);
    isBroken = isStopped() || first?.isOver === true;
    if (isBroken) break;
  }
  // The listening to a live port ends in the middle of a sentence as a rule, and so does what is broken off.
  if (options.kind !== 'port' && !isBroken) splitter.end();
  first?.end();
  const report = inspector.end(ended);
  if (inspector.sound === 0) throw nothingIn(report, head);
  return report;
}

/** Why there is no sentence in a stream. */
function nothingIn({ stream }: InspectReport, head: string): LodestubError {
  const { name, kind, bytes, binaryBytes, baud, gone } = stream;
  const isPort = kind === 'port';
  if (bytes === 0) {
    return new LodestubError({
      code: 'inspect.empty',
      path: name,
      expected: 'NMEA 0183 sentences',
      received: `not a single byte${gone === null ? '' : `, and then the port went: ${gone}`}`,
      hint: isPort ? 'Is the module powered, and its transmit line connected?' : 'Record it again.',
    });
  }
  const known = KINDS.find(([pattern]) => pattern.test(head))?.[1];
  const binaryShare = binaryBytes / bytes;
  const isBinary = binaryShare > BINARY_SHARE;
  const what = known ?? (isBinary ? `binary data (${percent(binaryShare)} no text)` : 'text without sentences');
  const speed = baud === null ? 'the line speed' : `the line speed, ${baud} baud here`;
  return new LodestubError({
    code: 'inspect.not-nmea',
    path: name,
    expected: 'NMEA 0183 sentences, at least one with the right checksum',
    received: `${grouped(bytes)} bytes of ${what}`,
    hint: isBinary ? `Check ${speed}, or whether the module is set to a binary protocol.` : 'Name another file.',
  });
}
