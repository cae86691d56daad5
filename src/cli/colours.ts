import picocolors from 'picocolors';

type Colours = ReturnType<typeof picocolors.createColors>;

/** Paints in any case: for those who decide afterwards whether a drawing is shown in colour. */
export const PAINTS: Colours = picocolors.createColors(true);

/**
 * Colours where a stream is a terminal, or where FORCE_COLOR asks for them; NO_COLOR and a dumb terminal have none.
 * The library's own answer looks at standard output alone, and colours any output where the environment has CI, though
 * a log is read by programs there.
 */
export function coloursFor(stream: Pick<NodeJS.WriteStream, 'isTTY'>, env: NodeJS.ProcessEnv = process.env): Colours {
  const isForced = isSet(env.FORCE_COLOR) && env.FORCE_COLOR !== '0';
  return picocolors.createColors(!isSet(env.NO_COLOR) && (isForced || (stream.isTTY === true && env.TERM !== 'dumb')));
}

function isSet(value: string | undefined): boolean {
  return value !== undefined && value !== '';
}
