import { DOMParser, type Element } from '@xmldom/xmldom';
import { ElementCutter } from './element-cutter.js';
import { LONGEST_TEXT, RecordSink } from './record-sink.js';
import { FieldReader, type Reading } from './report-fields.js';
import type { ReportContext, ReportReader, ReportTaker } from './report-reader.js';
import type { ReportsSettings } from './reports-settings.js';

/** Elements that are points (Topografix, GPX 1.1 schema, wptType and where it stands). */
const POINTS = ['trkpt', 'rtept', 'wpt'];

/**
 * Reads points of GPX as soon as each is whole, whether the document is or not. A point's values are its attributes
 * and its elements, those of its extensions included, by their names without prefix.
 */
export class GpxReader implements ReportReader {
  readonly #sink: RecordSink;
  readonly #fields: FieldReader;
  readonly #cutter: ElementCutter;
  #root = '<gpx>';
  #isGpx = false;
  /** How the text begins, for what may be said of it. */
  #beginning = '';

  constructor(settings: ReportsSettings, take: ReportTaker, context: ReportContext) {
    this.#sink = new RecordSink(take);
    this.#fields = new FieldReader(settings, context);
    this.#cutter = new ElementCutter(POINTS, 'gpx', {
      element: (text) => this.#point(text),
      root: (tag) => this.#begin(tag),
      bad: (text, why) => this.#sink.put(text, { kind: 'bad', why }),
    });
  }

  push(text: string): void {
    if (this.#beginning.length < LONGEST_TEXT) this.#beginning = (this.#beginning + text).slice(0, LONGEST_TEXT);
    this.#cutter.push(text);
  }

  restart(): void {
    // What was not whole has been replaced.
    this.#cutter.end();
    this.#forget();
    this.#sink.restart();
  }

  /** What is whole is told at once. */
  settle(): void {}

  end(): void {
    const rest = this.#cutter.end();
    if (rest !== null) this.#sink.put(rest, { kind: 'bad', why: 'it ends in the middle of a point' });
    else if (!this.#isGpx && this.#beginning.trim() !== '') {
      this.#sink.put(this.#beginning, { kind: 'bad', why: 'it is no GPX: there is no element gpx, and no point' });
    }
    this.#forget();
  }

  hint(): string | null {
    return this.#fields.hint();
  }

  #forget(): void {
    this.#beginning = '';
    this.#isGpx = false;
    this.#root = '<gpx>';
  }

  #begin(tag: string): void {
    this.#isGpx = true;
    this.#root = tag.replace(/\s*\/?>$/, '>');
  }

  #point(text: string): void {
    this.#isGpx = true;
    this.#sink.put(text, this.#read(text));
  }

  #read(text: string): Reading {
    let why = '';
    try {
      const onError = (level: 'warning' | 'error' | 'fatalError', message: string): void => {
        if (level === 'warning') return;
        why ||= message.split('\n', 1)[0] as string;
        throw new Error(message);
      };
      // The root declares the prefixes that the point's elements have.
      const name = /^<([^\s/>]+)/.exec(this.#root)?.[1] as string;
      const document = new DOMParser({ onError }).parseFromString(`${this.#root}${text}</${name}>`, 'text/xml');
      const point = Array.from(document.documentElement?.childNodes ?? []).find((node) => node.nodeType === 1);
      return this.#fieldsOf(point as Element);
    } catch (error) {
      return { kind: 'bad', why: `it is not XML: ${why || (error as Error).message}` };
    }
  }

  #fieldsOf(point: Element): Reading {
    const raw: Record<string, string> = Object.create(null) as Record<string, string>;
    for (const { name, value } of Array.from(point.attributes)) raw[name] = value;
    if (raw.lat === undefined && raw.lon === undefined) return { kind: 'bad', why: 'a point without lat and lon' };
    // The point's own elements count before what its extensions call the same.
    const leaves = Array.from(point.getElementsByTagName('*')).filter(
      (each) => each.getElementsByTagName('*').length === 0,
    );
    const own = leaves.filter(({ parentNode }) => parentNode === point);
    for (const leaf of [...own, ...leaves]) {
      const name = leaf.localName ?? leaf.nodeName;
      raw[name] ??= leaf.textContent?.trim() ?? '';
    }
    return this.#fields.read(raw);
  }
}
