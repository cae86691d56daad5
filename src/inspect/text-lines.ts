/**
 * Text in lines of so many characters, broken at spaces where it can be; longer words are cut.
 * @param indent stands before the first line @param hanging before the others
 */
export function wrapped(text: string, columns: number, indent = '', hanging = indent): string[] {
  const lines: string[] = [];
  let line = indent;
  let isBlank = true;
  const flush = () => {
    lines.push(line);
    line = hanging;
    isBlank = true;
  };
  for (const word of text.split(' ')) {
    if (!isBlank && line.length + 1 + word.length > columns) flush();
    line += isBlank ? word : ` ${word}`;
    isBlank = false;
    while (line.length > columns) {
      const rest = line.slice(columns);
      line = line.slice(0, columns);
      flush();
      line += rest;
      isBlank = false;
    }
  }
  return isBlank ? lines : [...lines, line];
}

/** A table: columns as wide as they need be, numbers to the right. @param right columns that are set to the right */
export function tableLines(rows: readonly (readonly string[])[], right: readonly number[], indent = '  '): string[] {
  const widths: number[] = [];
  for (const row of rows) {
    for (const [place, cell] of row.entries()) widths[place] = Math.max(widths[place] ?? 0, cell.length);
  }
  return rows.map((row) => {
    const cells = row.map((cell, place) => {
      const width = widths[place] as number;
      return right.includes(place) ? cell.padStart(width) : cell.padEnd(width);
    });
    return `${indent}${cells.join('  ')}`.trimEnd();
  });
}
