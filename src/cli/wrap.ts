/** Puts pieces into lines of so many characters, with something between; a longer piece is cut. */
export function wrap(pieces: readonly string[], width: number, between = ' '): string[] {
  const lines: string[] = [];
  for (const piece of pieces) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + between.length + piece.length <= width) {
      lines[lines.length - 1] = `${last}${between}${piece}`;
    } else lines.push(piece.slice(0, width));
  }
  return lines;
}
