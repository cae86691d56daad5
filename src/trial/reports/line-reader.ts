import { LineCutter, LONGEST_LINE } from './line-cutter.js';
import { RecordSink } from './record-sink.js';
import { FieldReader, type Reading } from './report-fields.js';
import type { ReportContext, ReportReader, ReportTaker } from './report-reader.js';
import type { ReportsSettings } from './reports-settings.js';

/** What a format makes of a line. */
export interface LineFormat {
  /** @param line without what ended it, never blank */
  read(line: string): readonly { readonly text: string; readonly reading: Reading }[];
  /** True for a line that must be whole, though nothing ended it. */
  isWhole?(line: string): boolean;
  /** The text begins again: a header may come. */
  restart(): void;
}

/** Reads formats that have a report a line. Blank lines tell nothing. */
export class LineReader implements ReportReader {
  readonly #sink: RecordSink;
  readonly #fields: FieldReader;
  readonly #format: LineFormat;
  readonly #noFix: readonly RegExp[];
  readonly #lines = new LineCutter((line, isTooLong) => this.#line(line, isTooLong));

  constructor(
    settings: ReportsSettings,
    take: ReportTaker,
    context: ReportContext,
    format: (fields: FieldReader) => LineFormat,
  ) {
    this.#sink = new RecordSink(take);
    this.#fields = new FieldReader(settings, context);
    this.#format = format(this.#fields);
    this.#noFix = settings.noFix;
  }

  push(text: string): void {
    this.#lines.push(text);
  }

  settle(): void {
    if (this.#format.isWhole?.(this.#lines.rest)) this.#lines.end();
  }

  restart(): void {
    this.#lines.end();
    this.#sink.restart();
    this.#format.restart();
  }

  end(): void {
    this.#lines.end();
    this.#format.restart();
  }

  hint(): string | null {
    return this.#fields.hint();
  }

  #line(written: string, isTooLong: boolean): void {
    // A byte order mark is no part of the line.
    const line = written.replace(/^\ufeff/, '');
    if (isTooLong) {
      this.#sink.put(line, { kind: 'bad', why: `a line of more than ${LONGEST_LINE} characters` });
      return;
    }
    if (line.trim() === '') return;
    const told = this.#noFix.map((each) => each.exec(line)).find((match) => match !== null);
    if (told !== undefined) {
      this.#sink.put(line, this.#fields.readNoFix({ ...told.groups }));
      return;
    }
    for (const { text, reading } of this.#format.read(line)) this.#sink.put(text, reading);
  }
}
