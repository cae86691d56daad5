import { LineFile } from '../emit/ports/line-file.js';
import { reportFailure } from './session.js';

/** Files that results are written to, and how an earlier one of ours begins. */
const OWN: Readonly<Record<ResultKind, (head: string) => boolean>> = {
  json: (head) => /^\{\s*"lodestub[A-Z][a-z]+": ?1,/.test(head),
  junit: (head) => head.includes(JUNIT_MARK),
  html: (head) => /<meta name="generator" content="lodestub/.test(head),
};

/** What a result is written as. */
export type ResultKind = 'json' | 'junit' | 'html';

const JUNIT_MARK = '<!-- lodestub -->';

/** A result file that was asked for. */
export interface ResultFile {
  readonly kind: ResultKind;
  readonly path: string;
}

/** The result files that options ask for. */
export function resultFiles(options: Readonly<Partial<Record<ResultKind, string>>>): ResultFile[] {
  return (['json', 'junit', 'html'] as const).flatMap((kind) => {
    const path = options[kind];
    return path === undefined ? [] : [{ kind, path }];
  });
}

/** Finds out, before anything is done, whether all can be written. @throws LodestubError `out.…` */
export function checkResultFiles(files: readonly ResultFile[], force: boolean): void {
  for (const { kind, path } of files) LineFile.check(path, { force, isOwn: OWN[kind] });
}

/**
 * Writes the results; a file that fails is told of, and leaves the others alone.
 * @param textOf a result as it is written, in parts
 * @returns false: one has failed
 */
export async function writeResultFiles(
  files: readonly ResultFile[],
  force: boolean,
  textOf: (kind: ResultKind) => Promise<Iterable<string>>,
): Promise<boolean> {
  let isWritten = true;
  for (const file of files) {
    try {
      writeResultFile(file, await textOf(file.kind), force);
    } catch (error) {
      reportFailure(error as Error);
      isWritten = false;
    }
  }
  return isWritten;
}

/** @param text in parts, so that it may be longer than a text can be @throws LodestubError `out.…` */
function writeResultFile({ kind, path }: ResultFile, text: Iterable<string>, force: boolean): void {
  const file = LineFile.open(path, { force, isOwn: OWN[kind] });
  try {
    let isFirst = true;
    for (const part of text) {
      // After the declaration, which must be first.
      file.append(isFirst && kind === 'junit' ? part.replace('?>', `?>\n${JUNIT_MARK}`) : part);
      isFirst = false;
    }
    file.append('\n');
  } finally {
    file.close();
  }
}
