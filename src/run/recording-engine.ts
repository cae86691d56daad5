import { LodestubError } from '../base/error.js';
import { DAY_MS } from '../base/utc-ms.js';
import { byteMsAt, countBytes, type Dropped, type Transmission } from '../emit/line/transmission.js';
import type { Piece } from '../grammar/splitter.js';
import { Pacer, utcMsOfGroup } from '../replay/pacer.js';
import type { ReplayClock } from '../replay/recorded-clock.js';
import { RecordedGroups } from '../replay/recorded-groups.js';
import { recordedPlaces } from '../replay/recorded-places.js';
import type { Recording } from '../replay/recording.js';
import { SentenceShifter } from '../replay/shifted-sentence.js';
import { firstOfDayMs } from '../replay/survey.js';
import type { Scenario } from '../scenario/scenario.js';
import type { Report } from '../sim/epoch.js';
import type { RecordedEpoch } from '../truth/recorded-epoch.js';
import { alterRecorded } from './alter.js';
import { LineEngine } from './line-engine.js';
import { recordedEpoch } from './recorded-view.js';
import type { SurroundingsEntry } from './surroundings.js';
import { TellTales } from './tell-tale.js';

/**
 * A recording on the line: each group of sentences begins at its time, and follows at the line's speed. It is deaf to
 * what a host sends. The epochs of the journal have what the sentences say, and no truth.
 */
export class RecordingEngine extends LineEngine {
  readonly #recording: Recording;
  readonly #groups: RecordedGroups;
  /** Null: all goes out back to back. */
  readonly #pacer: Pacer | null;
  readonly #shifter: SentenceShifter;
  readonly #shiftMs: number;
  readonly #isWatched: boolean;
  #tellTales: TellTales | null = null;
  #ticks = 0;
  /** UTC by the recording's time line, after the shift, at the last group that told it. */
  #known: { readonly atMs: number; readonly utcMs: number };

  /**
   * @param startUtcMs UTC at the beginning, after the shift, ms since 1970-01-01
   * @param isWatched somebody looks at the epochs
   */
  constructor(scenario: Scenario, { shiftS }: ReplayClock, startUtcMs: number, isWatched: boolean) {
    const { recording, module } = scenario;
    if (recording === null) throw new Error('the scenario has no recording');
    // What does not fit is dropped here: nobody knows the buffer that the recorded module had.
    super(scenario, { baud: module.baud, transmitBufferBytes: Infinity, overflow: 'drop' });
    this.#recording = recording;
    this.#groups = new RecordedGroups(recording.file);
    const { survey, timing, longestGapMs } = recording;
    this.#pacer = timing === 'line' ? null : new Pacer(this.#groups, survey.intervalMs, longestGapMs);
    this.#shifter = new SentenceShifter(shiftS, firstOfDayMs(survey));
    this.#shiftMs = shiftS * 1000;
    this.#known = { atMs: 0, utcMs: startUtcMs };
    this.#isWatched = isWatched;
  }

  get ticks(): number {
    return this.#ticks;
  }

  get surroundings(): readonly SurroundingsEntry[] {
    return [];
  }

  surround(): SurroundingsEntry {
    throw new LodestubError({
      code: 'replay.no-receiver',
      summary: 'surroundings act on a receiver, and a recording has none',
    });
  }

  override close(): void {
    super.close();
    this.#groups.close();
  }

  protected heard(): void {}

  protected ownBaud(): number {
    return this.scenario.module.baud;
  }

  protected epoch(atMs: number): void {
    if (this.#pacer === null && !this.line.isEmpty) {
      // Faults have put something between: the line is busy for longer.
      this.dueEpochMs = this.line.endMs + this.line.waitingBytes * byteMsAt(this.line.baud);
      return;
    }
    const timed = this.#pacer === null ? this.#next(atMs) : this.#pacer.next();
    if (timed === null) {
      this.dueEpochMs = Infinity;
      return;
    }
    const { group, utcMs } = timed;
    const line = this.lineAt(atMs);
    this.#learn(atMs, utcMs, group.timeOfDayMs);
    const index = this.#ticks++;
    const pieces = group.pieces.map((piece) => this.#shifted(piece));
    const faults = this.schedule.inForce('sentence', atMs);
    const epoch =
      this.#isWatched || faults.length > 0
        ? recordedEpoch({ index, atMs, utcMs: this.#utcMsAt(atMs), shiftMs: this.#shiftMs }, group.heard)
        : null;
    if (epoch !== null && this.#isWatched) this.out.epochs.push({ epoch, faults: this.schedule.at(atMs), line });
    const about = { epoch: index, report: reportOf(epoch), tellTale: () => this.#nextTellTale() };
    this.#hand(atMs, alterRecorded(pieces, faults, about), group.byteCount);
    this.dueEpochMs = this.#nextMs(atMs + group.byteCount * byteMsAt(this.line.baud));
  }

  #shifted(piece: Piece): Piece {
    if (piece.kind === 'noise') return piece;
    const text = this.#shifter.shift(piece.text);
    return text === piece.text ? piece : { ...piece, text };
  }

  /** Back to back, the next group is there as soon as it is asked for. */
  #next(atMs: number) {
    const group = this.#groups.next();
    return group === null ? null : { group, atMs, utcMs: utcMsOfGroup(group) };
  }

  /** When the next group is due, ms; Infinity: there are no more. @param lineMs when the line will be free */
  #nextMs(lineMs: number): number {
    if (this.#pacer === null) return this.#groups.peek() === null ? Infinity : lineMs;
    return this.#pacer.peek()?.atMs ?? Infinity;
  }

  /**
   * @param utcMs by a group's own date and time; null: not both are there
   * @param timeOfDayMs its time alone
   */
  #learn(atMs: number, utcMs: number | null, timeOfDayMs: number | null): void {
    if (utcMs !== null) this.#known = { atMs, utcMs: utcMs + this.#shiftMs };
    else if (this.#pacer === null && timeOfDayMs !== null) {
      // Back to back, the line's time says nothing of the day: it is the one that brings the time nearest to the last.
      const known = this.#known.utcMs;
      const days = Math.round((known - timeOfDayMs - this.#shiftMs) / DAY_MS);
      this.#known = { atMs, utcMs: timeOfDayMs + this.#shiftMs + days * DAY_MS };
    }
  }

  #utcMsAt(atMs: number): number {
    return Math.round(this.#known.utcMs + atMs - this.#known.atMs);
  }

  /**
   * Hands a group to the line. Of earlier groups so much may still wait as the transmit buffer holds; where more does,
   * whole sentences of this one are dropped.
   */
  #hand(atMs: number, items: readonly Transmission[], byteCount: number): void {
    const { transmitBufferBytes } = this.scenario.module;
    const { line } = this;
    let room = transmitBufferBytes + byteCount - line.waitingBytes - inFlight(line.endMs - atMs, line.baud);
    const kept: Transmission[] = [];
    for (const item of items) {
      const length = countBytes(item);
      if (length > room) this.out.dropped.push(lossOf(item, atMs, length));
      else {
        kept.push(item);
        room -= length;
      }
    }
    line.submit(atMs, kept);
  }

  #nextTellTale() {
    this.#tellTales ??= new TellTales(this.streams.stream('tell-tales'), recordedPlaces(this.#recording.file));
    return this.#tellTales.next();
  }
}

/** What faults of sentences get to know. */
function reportOf(epoch: RecordedEpoch | null): Report | null {
  return epoch === null ? null : { ...epoch.report, mode: epoch.report.fix === 'none' ? 'N' : 'A' };
}

function inFlight(leftMs: number, baud: number): number {
  return Math.max(0, Math.ceil(leftMs / byteMsAt(baud)));
}

function lossOf({ epoch, text, faults }: Transmission, atMs: number, bytes: number): Dropped {
  return { epoch, atMs, text, bytes, reason: 'transmit-buffer', faults };
}
