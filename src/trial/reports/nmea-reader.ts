import { type CalendarDate, DAY_MS, utcMsAt } from '../../base/utc-ms.js';
import { checksum } from '../../emit/sentences/checksum.js';
import { type Decoded, decode } from '../../grammar/decode.js';
import { parseSentence, type Sentence } from '../../grammar/sentence.js';
import { type Piece, Splitter } from '../../grammar/splitter.js';
import { RecordSink } from './record-sink.js';
import { NO_FIX, type Reading, reportOf } from './report-fields.js';
import type { ReadReport, ReportContext, ReportReader, ReportTaker } from './report-reader.js';
import type { ReportsSettings } from './reports-settings.js';

const OTHER: Reading = { kind: 'other' };

/**
 * Reads reports that are sentences. Each sentence is a report of what it tells by itself, so that none waits for the
 * next epoch; satellites in view are told when the GSV sentences that stand together are over, and that there is no fix
 * by GSA when those are: a system that is not used may say so in its own.
 */
export class NmeaReader implements ReportReader {
  readonly #sink: RecordSink;
  readonly #context: ReportContext;
  readonly #noFix: readonly RegExp[];
  #splitter: Splitter;
  /** GSV's count by talker, and the text of the last GSV; null: no GSV stands open. */
  #inView: { readonly counts: Map<string, number>; text: string } | null = null;
  /** GSA that stand together: one of them has a fix, and the last that has none; null: no GSA stands open. */
  #gsa: { hasFix: boolean; noFixText: string | null } | null = null;

  constructor({ noFix }: ReportsSettings, take: ReportTaker, context: ReportContext) {
    this.#sink = new RecordSink(take);
    this.#context = context;
    this.#noFix = noFix;
    this.#splitter = this.#newSplitter();
  }

  push(text: string): void {
    this.#splitter.push(text);
  }

  restart(): void {
    this.end();
    this.#sink.restart();
  }

  /** What is whole is told at once. */
  settle(): void {}

  end(): void {
    this.#splitter.end();
    this.#tellInView();
    this.#tellGsa();
    this.#splitter = this.#newSplitter();
  }

  hint(): string | null {
    return null;
  }

  #newSplitter(): Splitter {
    return new Splitter((piece) => this.#piece(piece));
  }

  #piece({ kind, text }: Piece): void {
    const isSentence = kind === 'sentence' && text.startsWith('$');
    const sentence = isSentence ? parseSentence(text) : null;
    const decoded = sentence === null ? null : decode(sentence);
    const isSound = sentence !== null && (sentence.checksum === 'good' || sentence.checksum === 'absent');
    if (decoded?.of === 'GSV' && isSound) {
      this.#inView ??= { counts: new Map(), text };
      this.#inView.counts.set((sentence as Sentence).talker, decoded.inView ?? 0);
      this.#inView.text = text;
      return;
    }
    this.#tellInView();
    const isNoFix = this.#noFix.some((each) => each.test(text));
    if (decoded?.of === 'GSA' && isSound && !isNoFix) {
      this.#gsa ??= { hasFix: false, noFixText: null };
      if (decoded.fix === 'none') this.#gsa.noFixText = text;
      else this.#gsa.hasFix ||= decoded.fix !== null;
      return;
    }
    this.#tellGsa();
    if (text.trim() === '') return;
    if (isNoFix) this.#sink.put(text, { kind: 'report', read: NO_FIX });
    else this.#sink.put(text, sentence === null ? OTHER : this.#read(text, sentence, decoded));
  }

  #tellInView(): void {
    if (this.#inView === null) return;
    const { counts, text } = this.#inView;
    this.#inView = null;
    const inView = [...counts.values()].reduce((sum, count) => sum + count, 0);
    this.#sink.put(text, { kind: 'report', read: reportOf({ inView }) });
  }

  #tellGsa(): void {
    if (this.#gsa === null) return;
    const { hasFix, noFixText } = this.#gsa;
    this.#gsa = null;
    if (!hasFix && noFixText !== null) this.#sink.put(noFixText, { kind: 'report', read: NO_FIX });
  }

  #read(text: string, sentence: Sentence, decoded: Decoded | null): Reading {
    if (sentence.checksum === 'bad') {
      const body = text.slice(1, text.lastIndexOf('*'));
      return { kind: 'bad', why: `the checksum is ${sentence.given}, ${checksum(body)} would be right` };
    }
    if (sentence.checksum === 'malformed') return { kind: 'bad', why: 'what stands after * is no checksum' };
    if (decoded === null) return OTHER;
    switch (decoded.of) {
      case 'RMC':
        return this.#fix(decoded, decoded.date, decoded.status === null ? null : decoded.status === 'A', {
          speedMps: decoded.speedMps,
          courseDeg: decoded.courseDeg,
        });
      case 'GLL':
        return this.#fix(decoded, null, decoded.status === null ? null : decoded.status === 'A', {});
      case 'GGA':
      case 'GNS': {
        const { quality, modes, used, altitudeMslM } = decoded;
        const byModes = modes === null ? null : /[^N]/.test(modes);
        return this.#fix(decoded, null, quality === null ? byModes : quality > 0, { used, altitudeMslM });
      }
      case 'VTG':
        return { kind: 'report', read: reportOf({ speedMps: decoded.speedMps, courseDeg: decoded.courseDeg }) };
      case 'ZDA':
        return { kind: 'report', read: reportOf(this.#time(decoded.timeOfDayMs, decoded.date)) };
      default:
        return OTHER;
    }
  }

  #fix(
    {
      timeOfDayMs,
      latitudeDeg,
      longitudeDeg,
    }: Pick<Extract<Decoded, { of: 'GLL' }>, 'timeOfDayMs' | 'latitudeDeg' | 'longitudeDeg'>,
    date: CalendarDate | null,
    isValid: boolean | null,
    more: Parameters<typeof reportOf>[0],
  ): Reading {
    if (isValid === true && latitudeDeg === null) {
      return { kind: 'bad', why: 'it says that there is a fix, without a place that can be read' };
    }
    const hasFix = latitudeDeg !== null && isValid !== false;
    const time = this.#time(timeOfDayMs, date);
    return { kind: 'report', read: reportOf({ ...more, ...time, hasFix, latitudeDeg, longitudeDeg }) };
  }

  /** UTC of a time of day, at the date told, or the one nearest to now. */
  #time(timeOfDayMs: number | null, date: CalendarDate | null): Pick<ReadReport, 'utcMs' | 'isDateTold'> {
    if (timeOfDayMs === null) return { utcMs: null, isDateTold: false };
    if (date !== null) return { utcMs: utcMsAt(date, timeOfDayMs), isDateTold: true };
    const days = Math.round((this.#context.now() - timeOfDayMs) / DAY_MS);
    return { utcMs: timeOfDayMs + days * DAY_MS, isDateTold: false };
  }
}
