import type { LeapSeconds } from '../../base/leap-seconds.js';
import { addSeconds, dayNumberOf, type GpsTime, utcFromGps } from '../../base/time.js';
import type { Epoch, Observation } from '../../sim/epoch.js';
import { hears } from '../../sim/receiver/hears.js';
import { type Band, type SignalKind, signalsOf } from '../../sim/signal/signal-kind.js';
import type { Satellite } from '../../sim/sky/orbit.js';
import { SYSTEM_LETTERS, SYSTEM_NAMES, type SystemName, systemOf } from '../../sim/sky/system.js';
import { calendarOf, fixed, headerLine, leapLine, openingLines, type TextSink, two } from './format.js';
import { approximatePosition, glonassLines, observationTypeLines, phaseShiftLines } from './observation-header.js';

/** What the header of an observation file tells beyond the epochs. */
export interface ObservationFacts {
  readonly satellites: readonly Pick<Satellite, 'id' | 'system' | 'frequencyNumber'>[];
  /** What the receiver listens to; `systems` null: to all. */
  readonly bands: readonly Band[];
  readonly systems: readonly SystemName[] | null;
  readonly intervalMs: number;
  readonly start: GpsTime;
  readonly leapSeconds: LeapSeconds;
}

/** Of the epoch's line: 0.1 us. */
const TICKS_PER_S = 1e7;
/** A value and its two flags, or blanks in their place. */
const BLANK = ' '.repeat(16);
const NO_VALUE = ' '.repeat(14);

/**
 * Writes the raw measurements of a run's epochs as a RINEX observation file, epoch after epoch. The time tag is the
 * receiver's own reading, to which the ranges refer. An epoch without measurements is left out.
 * Source: RINEX 3.04, tables A2 (header) and A3 (data records).
 */
export class ObservationWriter {
  readonly #sink: TextSink;
  readonly #facts: ObservationFacts;
  /** By system, in the order of the header. */
  readonly #kinds: ReadonlyMap<SystemName, readonly SignalKind[]>;
  #hasHeader = false;
  #firstPosition: string | null = null;

  constructor(sink: TextSink, facts: ObservationFacts) {
    this.#sink = sink;
    this.#facts = facts;
    const isHeard = (name: SystemName) => hears(facts, name) && facts.satellites.some(({ system }) => system === name);
    this.#kinds = new Map(SYSTEM_NAMES.filter(isHeard).map((name) => [name, signalsOf(name, facts.bands)]));
  }

  /** One epoch; a satellite's signals stand together in it, and satellites by system. */
  add(epoch: Epoch): void {
    this.#firstPosition ??= approximatePosition(epoch.truth);
    const { observations } = epoch;
    if (observations.length === 0) return;
    const time = addSeconds(epoch.gpsTime, epoch.receiverClock.biasS);
    if (!this.#hasHeader) this.#begin(time);
    let count = 0;
    let lines = '';
    for (let from = 0; from < observations.length; count++) {
      const { id } = observations[from] as Observation;
      let end = from + 1;
      while (end < observations.length && (observations[end] as Observation).id === id) end++;
      lines += this.#satelliteLine(id, observations, from, end);
      from = end;
    }
    this.#sink(`> ${timeTag(time)}  0${String(count).padStart(3)}\n${lines}`);
  }

  /** Writes the header where no epoch had measurements. */
  finish(): void {
    if (!this.#hasHeader) this.#begin(this.#facts.start);
  }

  #satelliteLine(id: string, observations: readonly Observation[], from: number, end: number): string {
    let line = id;
    for (const kind of this.#kinds.get(systemOf(id)) ?? []) {
      let found: Observation | null = null;
      for (let i = from; i < end; i++) if ((observations[i] as Observation).kind === kind) found = observations[i]!;
      line += found === null ? BLANK + BLANK + BLANK + BLANK : valuesOf(found);
    }
    return `${line.trimEnd()}\n`;
  }

  #begin(first: GpsTime): void {
    this.#hasHeader = true;
    const { satellites, intervalMs, start, leapSeconds } = this.#facts;
    const madeAt = utcFromGps(start, leapSeconds);
    const leap = leapSeconds.gpsMinusUtcOnDayS(dayNumberOf(madeAt.year, madeAt.month, madeAt.day));
    const line = headerLine;
    const glonass = this.#kinds.has('glonass') ? satellites.filter(({ system }) => system === 'glonass') : [];
    this.#sink(
      openingLines('OBSERVATION DATA', madeAt) +
        line('LODE', 'MARKER NAME') +
        line('NON_PHYSICAL', 'MARKER TYPE') +
        line('', 'OBSERVER / AGENCY') +
        line(`${'SIMULATED'.padEnd(20)}${'SIMULATED'.padEnd(20)}`, 'REC # / TYPE / VERS') +
        line(`${'SIMULATED'.padEnd(20)}${'SIMULATED'.padEnd(20)}`, 'ANT # / TYPE') +
        (this.#firstPosition === null ? '' : line(this.#firstPosition, 'APPROX POSITION XYZ')) +
        line(fixed(0, 14, 4).repeat(3), 'ANTENNA: DELTA H/E/N') +
        [...this.#kinds].map(([name, kinds]) => observationTypeLines(SYSTEM_LETTERS[name], kinds)).join('') +
        line('DBHZ', 'SIGNAL STRENGTH UNIT') +
        line(fixed(intervalMs / 1000, 10, 3), 'INTERVAL') +
        line(firstObservation(first), 'TIME OF FIRST OBS') +
        [...this.#kinds].map(([name, kinds]) => phaseShiftLines(SYSTEM_LETTERS[name], kinds)).join('') +
        glonassLines(glonass) +
        leapLine(leap) +
        line('', 'END OF HEADER'),
    );
  }
}

/** Code range, phase, Doppler and C/N0 of one signal; bit 0 of the phase's first flag: its count began anew. */
function valuesOf({ pseudorangeM, carrierCycles, dopplerHz, cn0DbHz, isFresh }: Observation): string {
  const strength = strengthDigit(cn0DbHz);
  return (
    field(pseudorangeM, ' ', strength) +
    field(carrierCycles, isFresh ? '1' : ' ', strength) +
    field(dopplerHz, ' ', ' ') +
    field(cn0DbHz, ' ', ' ')
  );
}

/** F14.3,I1,I1; all blank where there is no value, or one that does not fit. */
function field(value: number, lossOfLock: string, strength: string): string {
  const text = fixed(value, 14, 3);
  return text === NO_VALUE ? BLANK : text + lossOfLock + strength;
}

/** C/N0 in steps of 6 dB, 1 to 9 (RINEX 3.04, table 12). */
function strengthDigit(cn0DbHz: number): string {
  return String(Math.min(9, Math.max(1, Math.floor(cn0DbHz / 6))));
}

/** I4,4(1X,I2.2),F11.7 */
function timeTag(time: GpsTime): string {
  const { year, month, day, hour, minute, second, ticks } = calendarOf(time, TICKS_PER_S);
  const fraction = String(ticks).padStart(7, '0');
  return `${year} ${two(month)} ${two(day)} ${two(hour)} ${two(minute)} ${two(second)}.${fraction}`;
}

/** 5I6,F13.7,5X,A3 */
function firstObservation(time: GpsTime): string {
  const { year, month, day, hour, minute, second, ticks } = calendarOf(time, TICKS_PER_S);
  const whole = [year, month, day, hour, minute].map((part) => String(part).padStart(6)).join('');
  return `${whole}${`${second}.${String(ticks).padStart(7, '0')}`.padStart(13)}     GPS`;
}
