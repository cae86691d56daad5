import type {
  CommandRecord,
  EpochRecord,
  FaultRecord,
  HostRecord,
  JournalRecord,
  LineRecord,
  PortRecord,
  RunRecord,
  SentenceRecord,
  SurroundingsRecord,
} from '../truth/journal-record.js';
import type { BadReport, Evidence, FaultSpan, HostLine, HostReport, LifeEvent, TrialEpoch } from './evidence.js';
import type { Span } from './expectation.js';
import { couldReach, isTelling } from './told.js';
import { utcMsOf } from './utc-ms.js';

/** Records that are looked at; of the others not even the text is taken apart. */
const WANTED = /^\{"type":"(run|epoch|sentence|fault|surroundings|port|host|line)"/;

/** A host's bytes are of no interest. */
const HOST_BYTES = '"event":"bytes"';

type Wanted = Exclude<JournalRecord, CommandRecord>;

/**
 * Gathers a case's evidence: journal lines as they are written, and what comes from the host. Keeps of the journal only
 * what {@link Evidence} has.
 */
export class EvidenceCollector {
  #run: RunRecord | null = null;
  readonly #epochs: Omit<TrialEpoch, 'toldMs'>[] = [];
  readonly #sentences: SentenceRecord[] = [];
  readonly #faults: (FaultSpan & { endMs: number })[] = [];
  readonly #portGone = new Spells();
  readonly #hostThere = new Spells();
  /** Host and module at different speeds. */
  readonly #otherSpeed = new Spells();
  #hostBaud: number | null = null;
  #moduleBaud = 0;
  #lastMs = 0;
  readonly #reports: HostReport[] = [];
  readonly #bad: BadReport[] = [];
  readonly #life: LifeEvent[] = [];

  /** Takes a line of the journal, without its line feed. */
  journal(line: string): void {
    if (!WANTED.test(line) || line.includes(HOST_BYTES)) return;
    const record = JSON.parse(line) as Wanted;
    switch (record.type) {
      case 'run':
        this.#run = record;
        this.#moduleBaud = record.baud;
        break;
      case 'epoch':
        this.#takeEpoch(record);
        break;
      case 'sentence':
        this.#sentences.push(record);
        this.#lastMs = Math.max(this.#lastMs, record.endMs);
        break;
      case 'fault':
      case 'surroundings':
        this.#takeFault(record);
        break;
      case 'port':
      case 'host':
      case 'line':
        this.#takeEvent(record);
    }
  }

  report(report: HostReport): void {
    this.#reports.push(report);
  }

  bad(report: BadReport): void {
    this.#bad.push(report);
  }

  life(event: LifeEvent): void {
    this.#life.push(event);
  }

  /**
   * The case is over.
   * @param endMs its end, simulated ms; default: the last that is on record
   * @param lines the newest of what the host wrote
   * @param realMsOf ms of the machine's clock at a simulated time; default: the same
   */
  finish({
    endMs = this.#lastMs,
    lines = [],
    realMsOf = (simulatedMs) => simulatedMs,
  }: {
    readonly endMs?: number;
    readonly lines?: readonly HostLine[];
    readonly realMsOf?: (simulatedMs: number) => number;
  } = {}): Evidence {
    const portGone = this.#portGone.spans(endMs);
    const nobodyThere = this.#hostThere.hasBegun ? without(this.#hostThere.spans(Infinity), endMs) : [];
    const unheard = [...nobodyThere, ...this.#otherSpeed.spans(endMs)].sort((a, b) => a.beginMs - b.beginMs);
    const told = this.#toldMs({ portGone, unheard });
    const epochMs = this.#run?.epochMs ?? 1000;
    return {
      startUtcMs: this.#run === null ? 0 : utcMsOf(this.#run.startUtc),
      epochMs,
      endMs,
      epochs: this.#epochs.map((epoch) => ({ ...epoch, toldMs: told.get(epoch.index) ?? null })),
      sentences: this.#sentences,
      faults: this.#faults.map((fault) => ({ ...fault, endMs: Math.min(fault.endMs, Math.max(endMs, fault.beginMs)) })),
      portGone,
      unheard,
      reports: this.#reports,
      bad: this.#bad,
      lines,
      life: this.#life,
      realMsOf,
    };
  }

  #takeEpoch({ index, atMs, utc, truth, report, faults }: EpochRecord): void {
    this.#epochs.push({ index, atMs, utcMs: utcMsOf(utc), truth, report, faults });
    this.#lastMs = Math.max(this.#lastMs, atMs);
  }

  #takeFault(record: FaultRecord | SurroundingsRecord): void {
    const { id, phase, atMs } = record;
    const kind = record.type === 'fault' ? record.kind : record.surroundings;
    if (phase === 'begin') {
      this.#faults.push({ id, kind, beginMs: atMs, endMs: Infinity, with: record.with ?? {} });
      return;
    }
    const begun = this.#faults.findLast((each) => each.id === id && each.kind === kind);
    if (begun !== undefined) begun.endMs = atMs;
  }

  #takeEvent(record: PortRecord | HostRecord | LineRecord): void {
    const { atMs } = record;
    this.#lastMs = Math.max(this.#lastMs, atMs);
    if (record.type === 'line') this.#moduleBaud = record.baud;
    else if (record.event === 'gone') this.#portGone.begin(atMs);
    else if (record.event === 'back') this.#comeBack(atMs);
    else if (record.event === 'open') this.#hostThere.begin(atMs);
    else if (record.event === 'close') this.#leave(atMs);
    else if (record.type === 'host' && record.event === 'speed') this.#hostBaud = record.baud ?? null;
    else return;
    if (this.#hostBaud === null || this.#hostBaud === this.#moduleBaud) this.#otherSpeed.end(atMs);
    else this.#otherSpeed.begin(atMs);
  }

  /** Who leaves without having come was there from the start. */
  #leave(atMs: number): void {
    if (!this.#hostThere.hasBegun) this.#hostThere.begin(0);
    this.#hostThere.end(atMs);
  }

  /** Nobody has set up what is there anew. */
  #comeBack(atMs: number): void {
    this.#portGone.end(atMs);
    this.#hostBaud = null;
  }

  /** When each epoch had been told whole, of those of which something could reach the host. */
  #toldMs(deaf: Pick<Evidence, 'portGone' | 'unheard'>): Map<number, number> {
    const told = new Map<number, number>();
    for (const sentence of this.#sentences) {
      const { epoch, endMs } = sentence;
      if (isTelling(sentence) && couldReach(deaf, sentence)) told.set(epoch, Math.max(told.get(epoch) ?? 0, endMs));
    }
    return told;
  }
}

/** Times that begin and end, one after the other. */
class Spells {
  readonly #over: Span[] = [];
  #beginMs: number | null = null;

  /** Whether there has been one. */
  get hasBegun(): boolean {
    return this.#over.length > 0 || this.#beginMs !== null;
  }

  begin(atMs: number): void {
    this.#beginMs ??= atMs;
  }

  end(atMs: number): void {
    if (this.#beginMs !== null) this.#over.push({ beginMs: this.#beginMs, endMs: atMs });
    this.#beginMs = null;
  }

  /** All of them; one that has not ended does so at `endMs`. */
  spans(endMs: number): Span[] {
    return this.#beginMs === null ? [...this.#over] : [...this.#over, { beginMs: this.#beginMs, endMs }];
  }
}

/** What of [0, endMs) is in none of the spans. */
function without(spans: readonly Span[], endMs: number): Span[] {
  const rest: Span[] = [];
  let fromMs = 0;
  for (const span of spans) {
    if (span.beginMs > fromMs) rest.push({ beginMs: fromMs, endMs: Math.min(span.beginMs, endMs) });
    fromMs = Math.max(fromMs, span.endMs);
  }
  if (fromMs < endMs) rest.push({ beginMs: fromMs, endMs });
  return rest;
}
