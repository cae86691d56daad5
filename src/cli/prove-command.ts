import { closeSync, openSync, readSync } from 'node:fs';
import { LodestubError } from '../base/error.js';
import { counted, grouped } from '../base/words.js';
import { readFailure } from '../scenario/files.js';
import type { ReadBytes } from '../truth/byte-window.js';
import type { Captured } from '../truth/captured.js';
import { LEAST_PIECE } from '../truth/captured.js';
import type { Difference, JournalPlace } from '../truth/difference.js';
import { type Proof, prove } from '../truth/prove.js';

interface ProveOptions {
  readonly captured?: boolean;
}

/** So many contradictions, and so many gaps, are printed. */
const MOST_PRINTED = 10;

/** `lodestub prove`: the journal accounts for every byte of the stream, or says where not. @returns the exit code */
export async function proveCommand(journal: string, stream: string, options: ProveOptions): Promise<number> {
  const opened: number[] = [];
  const open = (path: string, code: 'journal.missing' | 'stream.missing') => {
    const read = openForReading(path, code);
    opened.push(read.fd);
    return read.bytes;
  };
  try {
    const journalBytes = open(journal, 'journal.missing');
    const streamBytes = open(stream, 'stream.missing');
    const isCaptured = options.captured === true;
    const proof = prove(journalBytes, streamBytes, { file: journal, isCaptured });
    process.stdout.write(`${describeProof(proof).join('\n')}\n`);
    return proof.isProven ? 0 : 1;
  } finally {
    for (const fd of opened) closeSync(fd);
  }
}

function openForReading(path: string, code: 'journal.missing' | 'stream.missing'): { fd: number; bytes: ReadBytes } {
  const failure = (error: unknown) => {
    const summary = readFailure(error);
    if (code === 'journal.missing') return new LodestubError({ code: 'journal.missing', path, summary, cause: error });
    return new LodestubError({ code: 'stream.missing', path, summary, cause: error });
  };
  let fd: number;
  try {
    fd = openSync(path, 'r');
  } catch (error) {
    throw failure(error);
  }
  const bytes: ReadBytes = (into) => {
    try {
      return readSync(fd, into);
    } catch (error) {
      throw failure(error);
    }
  };
  return { fd, bytes };
}

/** What became of a proof, in lines. */
export function describeProof(proof: Proof): string[] {
  const { captured, isProven, findings, findingCount, otherSpeedLine } = proof;
  const lines = captured === null ? describeWhole(proof) : describeCaptured(proof, captured);
  for (const { line, what } of findings.slice(0, MOST_PRINTED)) lines.push(`  journal line ${line}: ${what}`);
  if (findingCount > MOST_PRINTED)
    lines.push(`  … and ${findingCount - MOST_PRINTED} more contradictions in the journal`);
  if (!isProven && proof.difference !== null && otherSpeedLine !== null) {
    lines.push(
      `  From journal line ${otherSpeedLine} on a host's speed was not the line's: it read other bytes than were sent.`,
    );
  }
  return lines;
}

function describeWhole(proof: Proof): string[] {
  const { isProven, streamBytes, journalBytes, agreeing, difference, differing } = proof;
  if (isProven) return [`proven: ${counted(streamBytes, 'byte')}, ${contents(proof)}`];
  if (difference === null) {
    return [`not proven: the journal accounts for all ${counted(streamBytes, 'byte')}, but contradicts itself`];
  }
  const all =
    differing === null
      ? ''
      : `; ${counted(differing, 'byte')} of the stream ${differing === 1 ? 'differs' : 'differ'} in all`;
  const lengths = `the stream has ${counted(streamBytes, 'byte')}, the journal accounts for ${grouped(journalBytes)}`;
  const isShort = difference.offset === streamBytes;
  const then = isShort ? 'the stream ends' : difference.record === null ? 'the journal ends' : 'comes a difference';
  return [
    `not proven: ${counted(agreeing, 'byte')} agree, then ${then}${all}; ${lengths}`,
    ...describeDifference(difference),
  ];
}

function describeCaptured(proof: Proof, { bytes, pieces, lost, lostCount, difference }: Captured): string[] {
  if (proof.streamBytes === 0) {
    const sent = counted(proof.journalBytes, 'byte');
    return [`not proven: the stream is empty, which proves nothing; the journal accounts for ${sent}`];
  }
  const got = `captured: ${grouped(bytes)} of ${counted(proof.journalBytes, 'byte')}, in ${counted(pieces, 'piece')}`;
  const lines = [proof.isProven ? got : `not proven: ${got}`];
  if (difference !== null) {
    lines.push(...describeDifference(difference));
    lines.push(
      `  From there on the journal has no piece of ${LEAST_PIECE} bytes or more that the stream goes on with.`,
    );
  }
  for (const { bytes: count, first, last } of lost.slice(0, MOST_PRINTED)) {
    const from = first.line === last.line ? '' : `, from ${placeText(first)}`;
    lines.push(
      `  lost: ${counted(count, 'byte')}${from === '' ? ` of ${placeText(first)}` : `${from} to line ${last.line}`}`,
    );
  }
  if (lostCount > MOST_PRINTED) lines.push(`  … and ${lostCount - MOST_PRINTED} more gaps`);
  return lines;
}

function contents({ sentences, epochs, dropped }: Proof): string {
  const without = dropped === 0 ? '' : `, ${dropped} dropped`;
  return `${counted(sentences, 'sentence')}, ${counted(epochs, 'epoch')}${without}`;
}

function describeDifference({ offset, record, expected, found, before }: Difference): string[] {
  const where = record === null ? 'the journal accounts for no more' : `journal ${placeText(record)}`;
  const rows = [`  stream byte ${offset} (from 0): ${where}`];
  if (expected.length > 0) rows.push(`    expected ${bytesText(expected, before)}`);
  const end = found.length === before ? ' and then the end' : '';
  rows.push(`    found    ${bytesText(found, before)}${end}`);
  return rows;
}

/** `line 12, a sentence at 1234.5 ms, from its byte 3`. */
function placeText({ line, kind, startMs, place }: JournalPlace): string {
  const what = kind === 'sentence' ? 'a sentence' : 'bytes of no sentence';
  return `line ${line}, ${what} at ${startMs} ms${place === 0 ? '' : `, from its byte ${place}`}`;
}

/** Hex and text; what comes before the place stands in brackets. */
function bytesText(bytes: Uint8Array, before: number): string {
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0'));
  const text = Array.from(bytes, (byte) => (byte >= 0x20 && byte <= 0x7e ? String.fromCharCode(byte) : '.')).join('');
  const shown = [before > 0 ? `[${hex.slice(0, before).join(' ')}]` : '', hex.slice(before).join(' ')];
  return `${shown.filter((part) => part !== '').join(' ')}   ${text}`.trimEnd();
}
