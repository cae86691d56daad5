import { violationsOf } from '../../src/grammar/check.js';
import { EpochAssembler, type Heard, type HeardEpoch } from '../../src/grammar/heard-epoch.js';
import { type Piece, Splitter } from '../../src/grammar/splitter.js';
import { sumOf } from '../faults/sentence-helper.js';

/** A sentence's line: `$`, the body, its checksum, CR LF. */
export function line(body: string): string {
  return `$${body}*${sumOf(body)}\r\n`;
}

/** A stream in pieces, pushed as it is cut. */
export function piecesOf(...chunks: readonly string[]): Piece[] {
  const pieces: Piece[] = [];
  const splitter = new Splitter((piece) => pieces.push(piece));
  for (const chunk of chunks) splitter.push(chunk);
  splitter.end();
  return pieces;
}

/** The sentences of a stream, as they were heard. */
export function heardIn(stream: string): Heard[] {
  const assembler = new EpochAssembler(() => {});
  return piecesOf(stream)
    .filter(({ kind }) => kind === 'sentence')
    .map((piece) => assembler.put(piece));
}

/** The epochs of a stream. */
export function epochsIn(stream: string): HeardEpoch[] {
  const epochs: HeardEpoch[] = [];
  const assembler = new EpochAssembler((epoch) => epochs.push(epoch));
  for (const piece of piecesOf(stream)) if (piece.kind === 'sentence') assembler.put(piece);
  assembler.end();
  return epochs;
}

/** Codes of what is wrong with the sentences of a stream, and of which field. */
export function codesIn(stream: string): string[] {
  return heardIn(stream).flatMap((heard) =>
    violationsOf(heard).map(({ code, field }) => (field === null ? code : `${code}: ${field}`)),
  );
}

/** Names of an epoch's sentences, by talker and formatter; of GSV with their number. */
export function namesOf({ sentences }: HeardEpoch): string {
  return sentences
    .map(({ sentence, decoded }) => sentence.address + (decoded?.of === 'GSV' ? decoded.number : ''))
    .join(' ');
}
