import { describe, expect, it } from 'vitest';
import { writeSentences } from '../../src/emit/sentences/registry.js';
import { type SentenceStyle, sentencesOf } from '../../src/emit/sentences/style.js';
import type { Report } from '../../src/sim/epoch.js';
import { ALL, FIX, NOTHING, style } from '../emit/sentences/helper.js';
import { differences } from './compare.js';
import { epochLine } from './epoch-line.js';
import { readers } from './readers.js';

const { latitudeDeg, longitudeDeg, altitudeMslM, geoidSeparationM } = FIX;
const REST: Report = { ...FIX, courseDeg: null, speedMps: 0.02 };
const LOST: Report = { ...NOTHING, utc: FIX.utc, timeKnown: true, dateKnown: true, latitudeDeg, longitudeDeg };
const ESTIMATED: Report = {
  ...FIX,
  fix: '2d',
  quality: 6,
  mode: 'E',
  systemModes: { gps: 'E' },
  status: 'V',
  hdop: null,
  vdop: null,
  pdop: null,
  used: [],
  residualsM: [],
  // Satellites are seen, but none is used.
  inView: [],
};

const NEED_A_POINT = ['nmea-simple', 'extended-nmea'].flatMap((name) =>
  ['GGA', 'GLL', 'RMC'].map((sentence) => `${name} ${sentence}`),
);
/** The first throws on a blank number by design, the second gives 0 for it. */
const BLANK_HEIGHTS = ['extended-nmea GGA', '@signalk/nmea0183-signalk GGA'];

/** What a module may legally be set to, a report, and which sentences of it which reader does not take. */
type Case = readonly [what: string, Report, Partial<SentenceStyle>, except: readonly string[]];
const CASES: readonly Case[] = [
  // Two of four look for the point to find the minutes: as hosts in the field do.
  ['no decimals of minutes', FIX, { minuteDecimals: 0 }, NEED_A_POINT],
  ['one decimal of minutes', ALL, { minuteDecimals: 1 }, []],
  ['eight decimals of minutes', FIX, { minuteDecimals: 8, longLines: true }, []],
  ['a local zone of -5 h', FIX, { zdaZone: '-05,00' }, []],
  ['no local zone', FIX, { zdaZone: ',' }, []],
  ['an empty VTG at rest', { ...REST, speedMps: null }, { vtgAtRest: 'blank' }, []],
  [
    'GSV only of satellites',
    { ...ALL, used: ['G02', 'G05'], residualsM: [0.1, 0.2], inView: ALL.inView.slice(0, 3) },
    { gsvWhenNone: 'nothing' },
    [],
  ],
  ['no geoid', { ...FIX, geoidSeparationM: 0 }, {}, []],
  ['no separation', { ...FIX, geoidSeparationM: null }, {}, BLANK_HEIGHTS],
  ['no altitude', { ...FIX, altitudeMslM: null }, {}, BLANK_HEIGHTS],
  ['the last position without a fix', { ...LOST, altitudeMslM, geoidSeparationM }, {}, []],
  ['an estimate of status V', ESTIMATED, {}, []],
];

describe('gps 0.9, nmea-simple 3.3, @signalk/nmea0183-signalk 3.20, extended-nmea 2.1 read what is legal', () => {
  it.each(CASES)('%s', (_, report, more, except) => {
    const how = style({ version: '4.00', talker: 'auto', ...more });
    const epoch = epochLine(report);
    const wrong: string[] = [];
    let read = 0;
    for (const reader of readers()) {
      for (const text of writeSentences(report, how, sentencesOf(how.version))) {
        const name = text.slice(3, 6);
        if (!reader.claims.includes(name) || except.includes(`${reader.name} ${name}`)) continue;
        const decoded = reader.read(text, epoch.report);
        read++;
        if (decoded === null) continue;
        for (const each of differences(text, decoded, epoch, how, reader))
          wrong.push(`${reader.name}: ${text}: ${each}`);
      }
    }
    expect(wrong).toEqual([]);
    expect(read).toBeGreaterThan(15);
  });
});
