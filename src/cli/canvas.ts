/** Paints a piece of text for a terminal. */
export type Paint = (text: string) => string;

interface Cell {
  readonly character: string;
  readonly paint: Paint | null;
}

/** A picture in characters: columns from 0 at the left, rows from 0 at the top. What falls outside is left out. */
export class Canvas {
  readonly #cells: Cell[][];

  constructor(
    readonly columns: number,
    readonly rows: number,
  ) {
    this.#cells = Array.from({ length: rows }, () => []);
  }

  /** Whether nothing stands at a place, or only what may be written over. */
  isFree(column: number, row: number, background = ' '): boolean {
    if (column < 0 || column >= this.columns || row < 0 || row >= this.rows) return false;
    return background.includes(this.#cells[row]?.[column]?.character ?? ' ');
  }

  put(column: number, row: number, text: string, paint: Paint | null = null): void {
    const cells = this.#cells[row];
    if (cells === undefined) return;
    for (const [index, character] of [...text].entries()) {
      const place = column + index;
      if (place >= 0 && place < this.columns) cells[place] = { character, paint };
    }
  }

  /** Its lines without colour, and without spaces at their ends. */
  text(): string[] {
    return this.#lines((text) => text);
  }

  /** Its lines as they go to a terminal. */
  painted(): string[] {
    return this.#lines((text, paint) => (paint === null ? text : paint(text)));
  }

  /** Pieces that are painted alike are painted as one. */
  #lines(show: (text: string, paint: Paint | null) => string): string[] {
    return this.#cells.map((cells) => {
      let line = '';
      for (let column = 0; column < cells.length; ) {
        const paint = cells[column]?.paint ?? null;
        let text = '';
        for (; column < cells.length && (cells[column]?.paint ?? null) === paint; column++) {
          text += cells[column]?.character ?? ' ';
        }
        line += show(text, paint);
      }
      return line.trimEnd();
    });
  }
}
