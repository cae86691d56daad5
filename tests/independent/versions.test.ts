import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { writeSentences } from '../../src/emit/sentences/registry.js';
import { SENTENCE_VERSIONS, type SentenceStyle, sentencesOf } from '../../src/emit/sentences/style.js';
import type { Report } from '../../src/sim/epoch.js';
import { ALL, FIX, NOTHING, style, TIME_ONLY } from '../emit/sentences/helper.js';
import { differences } from './compare.js';
import { epochLine } from './epoch-line.js';
import { MORE_READERS, type Values } from './more-readers.js';
import { readers } from './readers.js';

const REPORTS: ReadonlyArray<readonly [string, Report]> = [
  ['nothing known', NOTHING],
  ['the time alone', TIME_ONLY],
  ['a fix', FIX],
  ['all there is', ALL],
];
const CASES = SENTENCE_VERSIONS.flatMap((version) => REPORTS.map(([what, report]) => [version, what, report] as const));

/** Half a unit of the last digit of whatever is written with so many decimals, and what doubles add. */
const half = (decimals: number) => 0.5 * 10 ** -decimals + 1e-9;

const styleOf = (version: SentenceStyle['version']) => style({ version, talker: 'auto' });

describe('gps 0.9, nmea-simple 3.3, @signalk/nmea0183-signalk 3.20, extended-nmea 2.1 read what is meant', () => {
  it.each(CASES)('in version %s with %s', (version, _what, report) => {
    const how = styleOf(version);
    const wrong: string[] = [];
    const read: Record<string, number> = {};
    const epoch = epochLine(report);
    for (const reader of readers()) {
      for (const text of writeSentences(report, how, sentencesOf(version))) {
        if (!reader.claims.includes(text.slice(3, 6))) continue;
        // It takes these with their mode only.
        if (version === '2.1' && reader.name === 'extended-nmea' && /^(GLL|RMC|VTG)$/.test(text.slice(3, 6))) continue;
        const decoded = reader.read(text, epoch.report);
        read[reader.name] = (read[reader.name] ?? 0) + 1;
        if (decoded === null) continue;
        // Version 2.1 has no modes.
        const { mode, ...rest } = decoded;
        const meant = version === '2.1' ? rest : decoded;
        for (const each of differences(text, meant, epoch, how, reader)) wrong.push(`${reader.name}: ${text}: ${each}`);
      }
    }
    expect(wrong).toEqual([]);
    for (const { name } of readers()) expect(read[name], name).toBeGreaterThan(2);
  });

  it.each(CASES)('the rarer sentences of version %s with %s', (version, _what, report) => {
    const wrong: string[] = [];
    let read = 0;
    for (const reader of MORE_READERS) {
      for (const text of writeSentences(report, styleOf(version), sentencesOf(version))) {
        if (!reader.claims.includes(text.slice(3, 6))) continue;
        // It takes GRS with its two ids only.
        if (reader.name === 'gps' && text.slice(3, 6) === 'GRS' && !version.startsWith('4.1')) continue;
        const values = reader.read(text);
        read++;
        if (values === null) continue;
        for (const each of mistakes(values, text, report)) wrong.push(`${reader.name}: ${text}: ${each}`);
      }
    }
    expect(wrong).toEqual([]);
    expect(read).toBeGreaterThan(version === '2.1' ? 4 : 9);
  });
});

/** What a report means by each name in {@link Values}, with what the printed digit can hide. */
function meanings(
  report: Report,
  text: string,
): Record<string, readonly [meant: number | string | null, within: number]> {
  const { deviation, suspect } = report;
  const isGst = text.slice(3, 6) === 'GST';
  const metre = half(1);
  return {
    latitudeDeg: [report.latitudeDeg, half(4) / 60],
    longitudeDeg: [report.longitudeDeg, half(4) / 60],
    used: [report.used.length, 0],
    hdop: [report.hdop ?? 99.99, half(2)],
    altitudeMslM: [report.altitudeMslM, metre],
    geoidSeparationM: [report.geoidSeparationM, metre],
    rangeRmsM: [deviation?.rangeRmsM ?? null, metre],
    majorM: [deviation?.majorM ?? null, metre],
    minorM: [deviation?.minorM ?? null, metre],
    orientationDeg: [deviation?.orientationDeg ?? null, half(1)],
    latitudeM: [deviation?.latitudeM ?? null, metre],
    longitudeM: [deviation?.longitudeM ?? null, metre],
    altitudeM: [deviation?.altitudeM ?? null, metre],
    suspect: [suspect === null ? null : Number(suspect.id.slice(1)), 0],
    missedProbability: [suspect?.missedProbability ?? null, half(3)],
    biasM: [suspect?.biasM ?? null, metre],
    deviationM: [isGst ? null : (suspect?.deviationM ?? null), metre],
    headingDeg: [report.heading?.headingDeg ?? null, half(1)],
    rateDegPerMin: [report.heading?.rateDegPerMin ?? null, half(1)],
    datum: ['W84', 0],
    reference: ['W84', 0],
    offsetM: [0, 0],
  };
}

/** Systems in the order of their ids. */
const LETTERS = ['', 'G', 'R', 'E', 'C', 'J', 'I'];

function mistakes(values: Values, text: string, report: Report): string[] {
  const meant = meanings(report, text);
  const found: string[] = [];
  for (const [key, read] of Object.entries(values)) {
    if (key === 'modes') {
      const order = ['gps', 'glonass', 'galileo', 'beidou', 'qzss', 'navic'] as const;
      const isRight = [...String(read)].every((letter, i) => letter === (report.systemModes[order[i] ?? 'gps'] ?? 'N'));
      if (!isRight) found.push(`modes ${read}`);
      continue;
    }
    if (key === 'residuals') {
      const letter = LETTERS[Number(text.split(',').at(-2))];
      const own = report.residualsM.filter((_, i) => letter === undefined || report.used[i]?.startsWith(letter));
      const list = String(read) === '' ? [] : String(read).split(',').map(Number);
      // Without ids a reader cannot tell whose they are: they must be among those of the report.
      const isOne = (value: number) => own.some((each) => Math.abs(Math.max(-999, each) - value) <= 0.5 + 1e-9);
      if (!list.every(isOne)) found.push(`residuals ${read}`);
      continue;
    }
    const [value, within] = meant[key] as readonly [number | string | null, number];
    const isBlank = read === null || read === undefined || Number.isNaN(read) || (value === null && read === 0);
    const isRight =
      value === null
        ? isBlank
        : typeof value === 'string'
          ? read === value
          : typeof read === 'number' && Math.abs(read - value) <= within + 1e-6 * Math.abs(value);
    if (!isRight) found.push(`${key}: read ${read}, meant ${value}`);
  }
  return found;
}

/** Reads sentences from standard input, and gives the fields that it knows by name, each as a text. */
const READ_ALL = `
import sys, json, pynmea2
for line in sys.stdin:
    said = pynmea2.parse(line.strip(), check=True)
    values = {field[1]: str(getattr(said, field[1])) for field in said.fields if said.data[said.name_to_idx[field[1]]:]}
    if hasattr(said, 'latitude') and said.sentence_type in ('GGA', 'GLL', 'RMC', 'GNS'):
        values['latitude'] = said.latitude
        values['longitude'] = said.longitude
    print(json.dumps(values))
`;
const PYTHON = ['/usr/bin/python3', 'python3'].find((path) => spawnSync(path, ['-c', 'import pynmea2']).status === 0);

describe("Debian's python3-nmea2", () => {
  it.skipIf(PYTHON === undefined)('reads what is meant in every sentence that it knows (needs python3-nmea2)', () => {
    const lines: { text: string; report: Report; version: string }[] = [];
    for (const [version, , report] of CASES) {
      // It knows no THS and GRS.
      const names = sentencesOf(version).filter((name) => name !== 'THS' && name !== 'GRS');
      for (const text of writeSentences(report, styleOf(version), names)) lines.push({ text, report, version });
    }
    const input = lines.map(({ text }) => text).join('\n');
    const { stdout, stderr } = spawnSync(PYTHON as string, ['-c', READ_ALL], { input, encoding: 'utf8' });
    expect(stderr).toBe('');
    const answers = stdout.trim().split('\n');
    expect(answers).toHaveLength(lines.length);
    for (const [i, { text, report }] of lines.entries()) {
      const said = JSON.parse(answers[i] as string) as Record<string, string | number>;
      expect(pythonMistakes(said, text, report), text).toEqual([]);
    }
  });
});

function pythonMistakes(said: Record<string, string | number>, text: string, report: Report): string[] {
  const name = text.slice(3, 6);
  const { deviation, heading, suspect } = report;
  const hasPlace = report.latitudeDeg !== null;
  const found: string[] = [];
  const check = (key: string, meant: number | null | undefined, within: number) => {
    const read = said[key];
    const isBlank = read === undefined || read === '' || read === 'None';
    const isRight =
      meant === null || meant === undefined ? isBlank : !isBlank && Math.abs(Number(read) - meant) <= within;
    if (!isRight) found.push(`${key}: read ${read}, meant ${meant}`);
  };
  if (hasPlace && 'latitude' in said) {
    check('latitude', report.latitudeDeg, half(4) / 60);
    check('longitude', report.longitudeDeg, half(4) / 60);
  }
  const checks: Record<string, () => void> = {
    GGA: () => {
      check('gps_qual', report.quality, 0);
      check('num_sats', report.used.length, 0);
      check('altitude', report.altitudeMslM, half(1));
      check('geo_sep', report.geoidSeparationM, half(1));
      check('ref_station_id', report.differential?.station, 0);
    },
    RMC: () => {
      check('spd_over_grnd', report.speedMps === null ? null : (report.speedMps * 3600) / 1852, half(1));
      check('true_course', report.courseDeg, half(1));
      check('mag_variation', report.variationDeg === null ? null : Math.abs(report.variationDeg), half(1));
    },
    GNS: () => {
      check('num_sats', report.used.length, 0);
      check('altitude', report.altitudeMslM, half(1));
      check('hdop', report.hdop ?? 99.99, half(2));
    },
    GST: () => {
      check('rms', deviation?.rangeRmsM, half(1));
      check('std_dev_major', deviation?.majorM, half(1));
      check('orientation', deviation?.orientationDeg, half(1));
      check('std_dev_altitude', deviation?.altitudeM, half(1));
    },
    GBS: () => {
      check('lat_err', deviation?.latitudeM, half(1));
      check('pro_miss', suspect?.missedProbability, half(3));
      check('est_bias', suspect?.biasM, half(1));
      check('est_bias_dev', suspect?.deviationM, half(1));
    },
    VBW: () => {
      const speedKn = report.speedMps === null ? null : (report.speedMps * 3600) / 1852;
      const drift = heading === null ? 0 : (((report.courseDeg as number) - heading.headingDeg) * Math.PI) / 180;
      check('lon_grnd_spd', speedKn === null ? null : speedKn * Math.cos(drift), half(1));
      check('trans_grnd_spd', speedKn === null ? null : speedKn * Math.sin(drift), half(1));
      check('lon_water_spd', null, 0);
    },
    HDT: () => check('heading', heading?.headingDeg, half(1)),
    ROT: () => check('rate_of_turn', heading?.rateDegPerMin, half(1)),
    GSA: () => {
      check('pdop', report.pdop ?? 99.99, half(2));
      check('mode_fix_type', { none: 1, '2d': 2, '3d': 3 }[report.fix], 0);
    },
    ZDA: () => check('year', report.dateKnown ? 2026 : null, 0),
  };
  checks[name]?.();
  return found;
}
