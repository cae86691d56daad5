import { utcMsFrom } from '../base/utc-ms.js';
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
import type {
  BadReport,
  Evidence,
  FaultSpan,
  HostLine,
  HostReport,
  LifeEvent,
  TrialEpoch,
  TrialSentence,
} from './evidence.js';
import { Handover } from './handover.js';
import { Spells, without } from './spells.js';
import { couldReach, cutBy, hadMsOf, isTelling } from './told.js';

/** Records that are looked at; of the others not even the text is taken apart. */
const WANTED = /^\{"type":"(run|epoch|sentence|bytes|fault|surroundings|port|host|line)"/;

/** A host's bytes are of no interest. */
const HOST_BYTES = '"event":"bytes"';

const NO_FAULTS: readonly string[] = [];

type Wanted = Exclude<JournalRecord, CommandRecord>;

/**
 * Gathers a case's evidence: journal lines as they are written, and what comes from the host. Keeps of the journal only
 * what {@link Evidence} has.
 */
export class EvidenceCollector {
  #run: RunRecord | null = null;
  readonly #epochs: Omit<TrialEpoch, 'toldMs'>[] = [];
  readonly #sentences: TrialSentence[] = [];
  /** When bytes were on the line that belong to no sentence. */
  readonly #otherBytes: Pick<TrialSentence, 'startMs' | 'endMs'>[] = [];
  readonly #handover = new Handover();
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
        this.#takeSentence(record);
        this.#lastMs = Math.max(this.#lastMs, record.endMs);
        break;
      case 'bytes':
        this.#otherBytes.push({ startMs: record.startMs, endMs: record.endMs });
        this.#handover.sent(byteCountOf(record.base64), null);
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

  /**
   * Bytes of the module's are handed to the port, in the order of the line. Where nothing is told of it, the host is
   * taken to have each byte when its stop bit has ended.
   * @param atMs simulated ms
   * @param bytes how many
   */
  handed(atMs: number, bytes: number): void {
    this.#handover.handed(atMs, bytes);
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
   * @param linesFromMs what it wrote before is not among them, simulated ms; default: all is
   * @param realMsOf ms of the machine's clock at a simulated time; default: the same
   * @param tellsOpening the port tells when a host opens it (a pseudo-terminal and TCP do): one that never did has
   *   heard nothing; default: somebody may have listened
   * @param restartAfterMs so long after its end the host is started again, by the machine's clock; null: it is not
   */
  finish({
    endMs = this.#lastMs,
    lines = [],
    linesFromMs = 0,
    realMsOf = (simulatedMs) => simulatedMs,
    tellsOpening = false,
    restartAfterMs = null,
  }: {
    readonly endMs?: number;
    readonly lines?: readonly HostLine[];
    readonly linesFromMs?: number;
    readonly realMsOf?: (simulatedMs: number) => number;
    readonly tellsOpening?: boolean;
    readonly restartAfterMs?: number | null;
  } = {}): Evidence {
    const portGone = this.#portGone.spans(endMs);
    const isKnown = this.#hostThere.hasBegun || tellsOpening;
    const nobodyThere = isKnown ? without(this.#hostThere.spans(Infinity), endMs) : [];
    const unheard = [...nobodyThere, ...this.#otherSpeed.spans(endMs)].sort((a, b) => a.beginMs - b.beginMs);
    const sentences = this.#sentencesAsHeard(endMs);
    const told = toldMsOf(sentences, { portGone, unheard });
    const epochMs = this.#run?.epochMs ?? 1000;
    return {
      startUtcMs: this.#run === null ? 0 : utcMsFrom(this.#run.startUtc),
      epochMs,
      endMs,
      epochs: this.#epochs.map((epoch) => ({ ...epoch, toldMs: told.get(epoch.index) ?? null })),
      sentences,
      faults: this.#faults.map((fault) => ({ ...fault, endMs: Math.min(fault.endMs, Math.max(endMs, fault.beginMs)) })),
      portGone,
      unheard,
      reports: this.#reports,
      bad: this.#bad,
      lines,
      linesFromMs,
      life: this.#life,
      restartAfterMs,
      realMsOf,
    };
  }

  #takeEpoch({ index, atMs, utc, truth, report, faults }: EpochRecord): void {
    this.#epochs.push({ index, atMs, utcMs: utcMsFrom(utc), truth, report, faults });
    this.#lastMs = Math.max(this.#lastMs, atMs);
  }

  /** Most are not under faults: they share one empty list. */
  #takeSentence(sentence: { -readonly [Key in keyof SentenceRecord]: SentenceRecord[Key] }): void {
    if (sentence.faults.length === 0) sentence.faults = NO_FAULTS;
    this.#sentences.push(sentence);
    this.#handover.sent(sentByteCountOf(sentence), sentence);
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

  /**
   * The sentences with when the host had them. A host at another speed reads other bytes, and not as many, than are on
   * the line: from then on counting them tells nothing.
   */
  #sentencesAsHeard(endMs: number): TrialSentence[] {
    const spans = this.#otherSpeed.spans(endMs);
    const isMisread = (sent: Pick<TrialSentence, 'startMs' | 'endMs'>) =>
      spans.some((span) => cutBy(span, sent.startMs, sent.endMs));
    const first = [this.#sentences.find(isMisread), this.#otherBytes.find(isMisread)];
    const knownToMs = Math.min(...first.map((sent) => sent?.startMs ?? Infinity));
    if (knownToMs === Infinity) return this.#sentences;
    return this.#sentences.map((sentence) => {
      if (sentence.handedMs === undefined || sentence.startMs < knownToMs) return sentence;
      const { handedMs: _, ...record } = sentence;
      return record;
    });
  }
}

/** When each epoch had been told whole, of those of which something could reach the host. */
function toldMsOf(
  sentences: readonly TrialSentence[],
  deaf: Pick<Evidence, 'portGone' | 'unheard'>,
): Map<number, number> {
  const told = new Map<number, number>();
  for (const sentence of sentences) {
    const { epoch } = sentence;
    if (!isTelling(sentence) || !couldReach(deaf, sentence)) continue;
    told.set(epoch, Math.max(told.get(epoch) ?? 0, hadMsOf(sentence)));
  }
  return told;
}

/** How many bytes of a sentence went out. */
function sentByteCountOf({ text, sentBase64 }: TrialSentence): number {
  return sentBase64 === undefined ? text.length + 2 : byteCountOf(sentBase64);
}

/** How many bytes a text in base64 stands for. */
function byteCountOf(base64: string): number {
  const padding = base64.endsWith('==') ? 2 : base64.endsWith('=') ? 1 : 0;
  return (base64.length / 4) * 3 - padding;
}
