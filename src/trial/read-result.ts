import { LodestubError } from '../base/error.js';
import { NODE_FILES, readFailure } from '../scenario/files.js';
import type { Part } from './merge.js';
import { RESULT } from './result-schema.js';

/** Reads a part of a trial's result. @throws LodestubError `trial.part` */
export async function readPart(file: string): Promise<Part> {
  let value: unknown;
  try {
    value = JSON.parse(await NODE_FILES.readText(file));
  } catch (error) {
    const summary = error instanceof SyntaxError ? 'it is no JSON' : readFailure(error);
    throw notAPart(file, summary);
  }
  const result = RESULT.safeParse(value);
  if (result.success) return { file, result: result.data };
  const [issue] = result.error.issues;
  throw notAPart(file, `${issue?.path.join('.')}: ${issue?.message}`);
}

function notAPart(file: string, received: string): LodestubError {
  const expected = 'the result of a trial’s shard, as --json writes it';
  return new LodestubError({ code: 'trial.part', path: file, expected, received });
}
