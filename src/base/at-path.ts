import { LodestubError } from './error.js';

/**
 * Does something, and says of what is wrong with it that it is there.
 * @param path an option's name, such as `--at`
 */
export function atPath<T>(path: string, act: () => T): T {
  try {
    return act();
  } catch (error) {
    if (!(error instanceof LodestubError)) throw error;
    const { code, expected, received, hint, summary } = error;
    throw new LodestubError({ code, path, expected, received, hint, summary });
  }
}
