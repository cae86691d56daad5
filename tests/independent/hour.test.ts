import { describe, expect, it } from 'vitest';
import type { SentenceStyle } from '../../src/emit/sentences/style.js';
import { ModuleRun } from '../../src/run/module-run.js';
import { loadScenarioFile, readScenario } from '../../src/scenario/read.js';
import type { Scenario } from '../../src/scenario/scenario.js';
import { listModules, listScenarios } from '../../src/scenario/shipped.js';
import { type EpochLine, type JournalLine, roof, type SentenceLine, sentBytes } from '../run/helper.js';
import { differences } from './compare.js';
import { type Reader, readers } from './readers.js';

const HOUR = { durationS: 3600 };
/** With `$` and CR LF (NMEA 0183, from memory). */
const LONGEST = 82;
/** Sentences that readers get, at most, in an hour: of more, whole epochs are left out evenly. */
const READ_AN_HOUR = 6_000;

/** Fields of each sentence, name included, before 4.10 and from then on (NMEA 0183 field order, second hand). */
const FIELDS: Readonly<Record<string, readonly [old: number, recent: number]>> = {
  GGA: [15, 15],
  GLL: [8, 8],
  GSA: [18, 19],
  RMC: [13, 14],
  VTG: [10, 10],
  ZDA: [7, 7],
  TXT: [5, 5],
  GNS: [13, 14],
  GST: [9, 9],
  GBS: [9, 11],
  GRS: [15, 17],
  DTM: [9, 9],
  VBW: [11, 11],
  THS: [3, 3],
  HDT: [3, 3],
  ROT: [3, 3],
};

const isOld = ({ version }: SentenceStyle) => version === '2.3';

/** What is wrong with the shape of a sentence; null where nothing is. */
function misshape(text: string, style: SentenceStyle): string | null {
  const line = `${text}\r\n`;
  if (line.length > LONGEST && !style.longLines) return `${line.length} characters`;
  if (!/^\$[A-Z]{5}(,[\x20-\x23\x25-\x29\x2b\x2d-\x7d]*)+\*[0-9A-F]{2}\r\n$/.test(line)) return 'characters';
  const talker = text.slice(1, 3);
  const name = text.slice(3, 6);
  const isFixed = style.talker.length === 2 && name !== 'GSV';
  if (isFixed ? talker !== style.talker : !/^(GP|GL|GA|GB|GQ|GI|GN)$/.test(talker)) return `talker ${talker}`;
  const fields = text.slice(1, text.indexOf('*')).split(',');
  if (name === 'GSV') {
    const signal = isOld(style) ? 0 : 1;
    const inView = Number(fields[3]);
    const here = Math.min(4, inView - 4 * (Number(fields[2]) - 1));
    return fields.length === 4 + 4 * here + signal ? null : `${fields.length} fields`;
  }
  const meant = FIELDS[name]?.[isOld(style) ? 0 : 1];
  return fields.length === meant ? null : `${fields.length} fields, not ${meant}`;
}

/** What an hour's sentences came to. */
interface Tally {
  readonly wrong: string[];
  readonly sentences: Record<string, number>;
  readonly read: Record<string, number>;
  readonly refused: Record<string, number>;
  damaged: number;
}

/** Plays a run and holds every sentence of its journal against the standard's shape and the readers. */
function examine(scenario: Scenario): Tally {
  const { style, sentences, epochMs } = scenario.module;
  const tally: Tally = { wrong: [], sentences: {}, read: {}, refused: {}, damaged: 0 };
  const all = readers();
  const anEpoch = sentences.reduce((sum, { every, name }) => sum + (name === 'GSV' ? 3 : 1) / every, 0);
  const every = Math.max(1, Math.round((anEpoch * 3_600_000) / epochMs / READ_AN_HOUR));
  const epochs = new Map<number, EpochLine>();
  const take = (text: string): void => {
    // Parsing an epoch's line is what costs most: only of those that are read.
    if (text.startsWith('{"type":"sentence"')) sentence(JSON.parse(text) as SentenceLine);
    if (!text.startsWith('{"type":"epoch"')) return;
    const index = Number(/"index":(\d+)/.exec(text)?.[1]);
    if (index % every !== 0) return;
    epochs.set(index, JSON.parse(text) as JournalLine as EpochLine);
    epochs.delete(index - 20 * every);
  };
  const sentence = (line: SentenceLine): void => {
    const name = line.text.slice(3, 6);
    tally.sentences[name] = (tally.sentences[name] ?? 0) + 1;
    const shape = misshape(line.text, style);
    if (shape !== null) tally.wrong.push(`${line.text}: ${shape}`);
    const epoch = epochs.get(line.epoch);
    if (line.sentBase64 !== undefined) refuse(line, all, tally);
    else if (epoch !== undefined) for (const reader of all) accept(line.text, epoch, style, reader, tally);
  };
  const run = new ModuleRun(scenario, {
    now: { year: 2026, month: 1, day: 1, hour: 0, minute: 0, second: 0 },
    send: () => {},
    journal: take,
  });
  while (!run.isOver) run.advanceTo(run.epochsDone < run.epochCount ? run.epochsDone * epochMs : Infinity);
  run.finish();
  return tally;
}

function accept(text: string, epoch: EpochLine, style: SentenceStyle, reader: Reader, tally: Tally): void {
  const name = text.slice(3, 6);
  if (!reader.claims.includes(name)) return;
  const key = `${reader.name} ${name}`;
  try {
    const decoded = reader.read(text, epoch.report);
    tally.read[key] = (tally.read[key] ?? 0) + 1;
    if (decoded === null) return;
    for (const difference of differences(text, decoded, epoch, style, reader)) {
      tally.wrong.push(`${reader.name}: ${text}: ${difference}`);
    }
  } catch (error) {
    tally.wrong.push(`${reader.name}: ${text}: ${(error as Error).message}`);
  }
}

/** A whole sentence with a wrong checksum must be refused, or a test of a host's refusal would be worth nothing. */
function refuse(line: SentenceLine, all: readonly Reader[], tally: Tally): void {
  const sent = sentBytes(line).toString('latin1');
  if (!/^\$.*\*[0-9A-F]{2}\r\n$/.test(sent)) return;
  tally.damaged++;
  const report = { fix: 'none', timeKnown: false, dateKnown: false } as EpochLine['report'];
  for (const reader of all) {
    if (!reader.claims.includes(line.text.slice(3, 6))) continue;
    try {
      reader.read(sent.slice(0, -2), report);
      tally.wrong.push(`${reader.name}: takes ${sent.slice(0, -2)} in place of ${line.text}`);
    } catch {
      tally.refused[reader.name] = (tally.refused[reader.name] ?? 0) + 1;
    }
  }
}

/** That nothing was wrong, and that there was something to be wrong. */
function expectSound(tally: Tally, { module }: Scenario): void {
  expect(tally.wrong.slice(0, 10)).toEqual([]);
  for (const { name, every } of module.sentences) {
    const least = (0.7 * 3_600_000) / module.epochMs / every;
    expect(tally.sentences[name], name).toBeGreaterThan(least);
    for (const reader of readers()) {
      if (reader.claims.includes(name)) expect(tally.read[`${reader.name} ${name}`], reader.name).toBeGreaterThan(100);
    }
  }
}

const SCENARIOS = (await listScenarios()).map(({ name }) => name);
/** The module profiles that no shipped scenario has. */
const MODULES = await otherModules();

async function otherModules(): Promise<string[]> {
  const played = await Promise.all(SCENARIOS.map(async (name) => (await loadScenarioFile(name)).module.name));
  return (await listModules()).map(({ name }) => name).filter((name) => !played.includes(name));
}

describe('an hour, read by gps 0.9, nmea-simple 3.3, @signalk/nmea0183-signalk 3.20 and extended-nmea 2.1', () => {
  it.each(SCENARIOS)('of the scenario %s says to each what the journal says', async (name) => {
    const scenario = await loadScenarioFile(name, HOUR);
    const tally = examine(scenario);
    expectSound(tally, scenario);
    if (name === 'harbour-pilot') {
      expect(tally.damaged).toBeGreaterThan(20);
      for (const reader of readers()) expect(tally.refused[reader.name], reader.name).toBeGreaterThan(20);
    }
  });

  it.each(MODULES)('of the module %s says to each what the journal says', async (name) => {
    const scenario = await loadScenarioFile('bench', { ...HOUR, module: name });
    expectSound(examine(scenario), scenario);
  });

  const moving = (from: readonly unknown[], to: readonly number[]) => ({
    duration: '1 h',
    route: [
      { hold: '10 s', at: from },
      { go: [to], speed: '60 kn' },
    ],
    module: {
      version: '2.3',
      talker: 'GP',
      decimals: { minutes: 4, seconds: 3, altitude: 2, speed: 2, course: 2, dop: 2 },
    },
  });

  it.each([
    ['in the south-west, over the equator', moving([-0.3, -70.1, '12 m'], [0.4, -70.2])],
    ['over the antimeridian eastward, in the south', moving([-17.5, 179.6, '5 m'], [-17.3, -179.5])],
    ['over the antimeridian westward, in the north', moving([52, -179.7, '5 m'], [52.1, 179.6])],
    ['over Greenwich, below the sea', moving([51.5, 0.4, '-3 m'], [51.4, -0.5])],
  ])('%s', async (_name, more) => {
    const text = JSON.stringify(roof(more));
    const scenario = await readScenario(text, { file: 'scenario', baseFolder: '.', overrides: HOUR });
    expectSound(examine(scenario), scenario);
  });
});
