import { VERSION } from '../base/version.js';
import { decode } from '../grammar/decode.js';
import { EpochAssembler, type Heard, type HeardEpoch } from '../grammar/heard-epoch.js';
import { parseSentence } from '../grammar/sentence.js';
import type { Piece } from '../grammar/splitter.js';
import type { InspectReport, Item, Verdict } from './inspect-report.js';
import type { Section, StreamEnd, StreamOptions } from './section.js';
import { AgreementSection } from './sections/agreement.js';
import { AntennaSection } from './sections/antenna.js';
import { ChecksumsSection } from './sections/checksums.js';
import { FixSection } from './sections/fix.js';
import { GrammarSection } from './sections/grammar.js';
import { MotionSection } from './sections/motion.js';
import { OdditiesSection } from './sections/oddities.js';
import { PositionSection } from './sections/position.js';
import { SatellitesSection } from './sections/satellites.js';
import { SentencesSection } from './sections/sentences.js';
import { StreamSection } from './sections/stream.js';
import { TimeSection } from './sections/time.js';
import { TimingSection } from './sections/timing.js';
import { VersionSection } from './sections/version.js';
import { StreamClock } from './stream-clock.js';

/**
 * Inspects a stream, piece by piece, as it comes. Memory does not grow with it: what is long is counted in steps,
 * thinned, or told of by its first examples.
 */
export class Inspector {
  readonly #caution: string;
  readonly #assembler: EpochAssembler;
  readonly #clock = new StreamClock();
  readonly #parts;
  readonly #ofHeard: Section<unknown>[];
  readonly #ofNoise: Section<unknown>[];
  readonly #ofEpoch: Section<unknown>[];
  #sound = 0;
  /** Its line has no end, or half of one: held back until another piece follows, or the stream ends there. */
  #unended: Piece | null = null;

  /** @param caution the text that every report carries */
  constructor(options: StreamOptions, caution: string) {
    this.#caution = caution;
    const clock = this.#clock;
    this.#parts = {
      stream: new StreamSection(clock, options),
      sentences: new SentencesSection(),
      version: new VersionSection(),
      checksums: new ChecksumsSection(clock),
      grammar: new GrammarSection(clock),
      timing: new TimingSection(clock, options),
      fix: new FixSection(clock),
      satellites: new SatellitesSection(clock),
      antenna: new AntennaSection(clock),
      position: new PositionSection(options),
      motion: new MotionSection(clock),
      agreement: new AgreementSection(clock),
      time: new TimeSection(clock, options),
      oddities: new OdditiesSection(clock, options),
    };
    const sections: Section<unknown>[] = Object.values(this.#parts);
    this.#ofHeard = sections.filter((section) => section.heard !== undefined);
    this.#ofNoise = sections.filter((section) => section.noise !== undefined);
    this.#ofEpoch = sections.filter((section) => section.epoch !== undefined);
    this.#assembler = new EpochAssembler((epoch) => this.#epoch(epoch));
  }

  /** Sentences that can be read so far: none of them, and the stream is not what it was taken for. */
  get sound(): number {
    return this.#sound;
  }

  put(piece: Piece): void {
    if (this.#unended !== null) this.#take(this.#unended);
    this.#unended = piece.ending === '' || piece.ending === '\r' ? piece : null;
    if (this.#unended === null) this.#take(piece);
  }

  #take(piece: Piece): void {
    if (piece.kind === 'noise') {
      for (const section of this.#ofNoise) section.noise?.(piece);
      return;
    }
    this.#hear(piece, this.#ofHeard);
  }

  #hear(piece: Piece, sections: readonly Section<unknown>[]): void {
    const heard = this.#assembler.put(piece);
    if (canBeRead(heard)) this.#sound += 1;
    const stamp = this.#clock.see(heard);
    for (const section of sections) section.heard?.(heard, stamp);
  }

  /** What the stream breaks off with: what it lacks there is neither damage nor against the standard. */
  #takeLast(piece: Piece): void {
    if (piece.kind === 'noise') {
      this.#take(piece);
      return;
    }
    const sentence = parseSentence(piece.text);
    const { stream, grammar, oddities } = this.#parts;
    if (sentence.checksum === 'good') {
      const others = this.#ofHeard.filter((section) => section !== grammar && section !== oddities);
      this.#hear(piece, others);
      return;
    }
    const heard = { piece, sentence, decoded: decode(sentence) };
    if (canBeRead(heard)) this.#sound += 1;
    stream.heard(heard);
  }

  #epoch(epoch: HeardEpoch): void {
    const timed = this.#clock.time(epoch);
    for (const section of this.#ofEpoch) section.epoch?.(timed);
  }

  /** The stream has ended. */
  end(end: StreamEnd = { endedMs: null, gone: null }): InspectReport {
    if (this.#unended !== null) this.#takeLast(this.#unended);
    this.#unended = null;
    this.#assembler.end();
    const parts = this.#parts;
    const [stream, sentences, version] = [parts.stream.finish(end), parts.sentences.finish(), parts.version.finish()];
    const [checksums, grammar, timing] = [parts.checksums.finish(), parts.grammar.finish(), parts.timing.finish(end)];
    const [fix, satellites, antenna] = [parts.fix.finish(), parts.satellites.finish(), parts.antenna.finish()];
    const [position, time, oddities] = [parts.position.finish(), parts.time.finish(), parts.oddities.finish()];
    const [motion, agreement] = [parts.motion.finish(), parts.agreement.finish()];
    const items = [
      ...[stream, sentences, version, checksums, grammar, timing],
      ...[fix, satellites, antenna, position, motion, agreement, time, oddities],
    ].flatMap((section) => section.items);
    return {
      lodestubInspect: 1,
      version: VERSION,
      caution: this.#caution,
      stream: stream.part,
      verdict: worstOf(items),
      items,
      sentences: { ...sentences.part, ...version.part, checksums: checksums.part, violations: grammar.part },
      timing: timing.part,
      fix: fix.part,
      satellites: satellites.part,
      antenna: antenna.part,
      position: position.part,
      motion: motion.part,
      agreement: agreement.part,
      time: time.part,
      oddities: oddities.part,
    };
  }
}

function canBeRead({ sentence, decoded }: Heard): boolean {
  return sentence.checksum === 'good' || (sentence.checksum === 'absent' && decoded !== null);
}

/** What has not been tested makes nothing worse. */
function worstOf(items: readonly Item[]): Verdict {
  const has = (verdict: Verdict) => items.some((item) => item.verdict === verdict);
  if (has('bad')) return 'bad';
  if (has('remark')) return 'remark';
  return has('good') ? 'good' : 'untested';
}
