import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { violationsOf } from '../../src/grammar/check.js';
import type { Decoded as Ours } from '../../src/grammar/decode.js';
import { GroupCheck } from '../../src/grammar/group-check.js';
import type { Heard } from '../../src/grammar/heard-epoch.js';
import { parseSentence } from '../../src/grammar/sentence.js';
import { dataText, hasData } from '../authorities/open-data.js';
import { epochsIn, heardIn } from '../grammar/helper.js';
import type { ReportLine } from '../run/helper.js';
import { type Decoded, type DecodedSatellite, type Reader, readers } from './readers.js';

const AIRBORNE = 'logs/two-system-airborne.nmea.gz';
const FOUR_SYSTEMS = 'logs/four-system-v410-cold-to-fix.nmea';
const CHECKSUMS = 'tables/nmea-checksums.txt';
const NEEDS = '(recorded logs of AeroRust/nmea; skipped without ../shared/data)';

/** A few operations on doubles of this size, in a reader and here. */
const ARITHMETIC = 1e-9;
/** VTG has the speed twice; a reader that takes km/h has another last digit than one that takes knots, m/s. */
const VTG_SPEED_MPS = 0.5 * 0.1 * (1852 / 3600 + 1 / 3.6) + ARITHMETIC;
/** A reader that gives radians has a factor of nine digits. */
const ANGLE_DEG = 1e-5;

type Values = { readonly [Key in keyof Decoded]: Decoded[Key] };

/** What is decoded here, under the names of the readers' adapters. */
function valuesOf(ours: Ours): Values {
  switch (ours.of) {
    case 'GGA':
      return { ...timeOf(ours.timeOfDayMs), ...omit(ours), quality: ours.quality ?? 0, used: ours.used };
    case 'RMC': {
      const { date } = ours;
      const text = date === null ? null : new Date(Date.UTC(date.year, date.month - 1, date.day)).toISOString();
      return { ...timeOf(ours.timeOfDayMs), ...omit(ours), ...(text === null ? {} : { date: text.slice(0, 10) }) };
    }
    case 'GSA': {
      const numbers = ours.ids.map(Number);
      return { usedNumbers: numbers, fix: ours.fix, pdop: ours.pdop, hdop: ours.hdop, vdop: ours.vdop };
    }
    case 'VTG':
      return omit(ours);
    default:
      return {};
  }
}

const timeOf = (timeMs: number | null) => (timeMs === null ? {} : { timeMs });

/** The values that are called alike. */
function omit(ours: object): Values {
  const names = ['latitudeDeg', 'longitudeDeg', 'altitudeMslM', 'geoidSeparationM', 'speedMps', 'courseDeg', 'hdop'];
  const words = ['status', 'mode'];
  return Object.fromEntries(Object.entries(ours).filter(([key]) => [...names, ...words].includes(key)));
}

const FIXES: Readonly<Record<string, readonly unknown[]>> = { none: [null, 1], '2d': ['2D', 2], '3d': ['3D', 3] };

/** Where a reader says another thing of a sentence than is decoded here. */
function differences(said: Decoded, ours: Ours, { name, blankIsZero, relativeError, cutsSeconds }: Reader): string[] {
  const values = valuesOf(ours) as Readonly<Record<string, unknown>>;
  return Object.entries(said).flatMap(([key, read]) => {
    if (key === 'satellites' || key === 'inView') return [];
    const own = values[key];
    if (key === 'fix' && FIXES[String(own)]?.includes(read)) return [];
    if (key === 'usedNumbers' && String(read) === String(own)) return [];
    const isBlank = read === null || Number.isNaN(read) || (blankIsZero && read === 0) || read === 'undefined';
    if ((own === null || own === undefined) && isBlank) return [];
    if (typeof own === 'string' && own === read) return [];
    if (typeof own === 'number' && typeof read === 'number') {
      const limit =
        key === 'speedMps' && ours.of === 'VTG' ? VTG_SPEED_MPS : ARITHMETIC + Math.abs(own) * relativeError;
      const isCut = key === 'timeMs' && cutsSeconds.includes(ours.of);
      if (Math.abs(read - (isCut ? Math.floor(own / 1000) * 1000 : own)) <= Math.max(limit, angleLimit(key))) return [];
    }
    return [`${name}: ${key}: reads ${read}, here ${own}`];
  });
}

const angleLimit = (key: string) => (key === 'courseDeg' ? ANGLE_DEG : 0);

/** Satellites that the sentences of a group list so far, by talker, and of the whole log. */
class Lists {
  readonly #lists = new Map<string, DecodedSatellite[]>();

  add({ decoded, sentence }: Heard): readonly DecodedSatellite[] {
    if (decoded?.of !== 'GSV') return [];
    const list = decoded.number === 1 ? [] : (this.#lists.get(sentence.talker) ?? []);
    for (const { id, elevationDeg, azimuthDeg, cn0DbHz } of decoded.satellites) {
      list.push({ number: Number(id), elevationDeg, azimuthDeg, cn0DbHz });
    }
    this.#lists.set(sentence.talker, list);
    return list;
  }
}

function isSame(one: DecodedSatellite, other: DecodedSatellite): boolean {
  const near = (a: number | null, b: number | null) => Math.abs((a || 0) - (b || 0)) <= ANGLE_DEG;
  // Some readers name GLONASS satellites by their slot, 65 being the first.
  return (
    (one.number === other.number || (other.number > 64 && one.number === other.number - 64)) &&
    near(one.elevationDeg, other.elevationDeg) &&
    near(one.azimuthDeg, other.azimuthDeg) &&
    near(one.cn0DbHz, other.cn0DbHz)
  );
}

/** What the adapters ask of a report: what a reader may be asked for. */
function asReport({ decoded }: Heard): ReportLine {
  const timeKnown = decoded !== null && 'timeOfDayMs' in decoded && decoded.timeOfDayMs !== null;
  const dateKnown = decoded !== null && 'date' in decoded && decoded.date !== null;
  const hasPlace = decoded !== null && 'latitudeDeg' in decoded && decoded.latitudeDeg !== null;
  return { timeKnown, dateKnown, fix: hasPlace ? '3d' : 'none' } as unknown as ReportLine;
}

const LOGS = [
  [AIRBORNE, 1307],
  [FOUR_SYSTEMS, 37],
] as const;

describe('gps 0.9, nmea-simple 3.3, @signalk/nmea0183-signalk 3.20, extended-nmea 2.1', () => {
  it.skipIf(!hasData(AIRBORNE, FOUR_SYSTEMS)).each(LOGS)(`read in %s what is decoded here ${NEEDS}`, (log) => {
    const wrong: string[] = [];
    for (const reader of readers()) {
      const lists = new Lists();
      let read = 0;
      for (const heard of heardIn(dataText(log))) {
        const { decoded, sentence, piece } = heard;
        const list = lists.add(heard);
        // All but the first take every talker that begins with P for a maker's own sentence.
        if (decoded === null || !reader.claims.includes(sentence.formatter) || sentence.talker === 'PQ') continue;
        const said = reader.read(piece.text, asReport(heard));
        if (said === null) continue;
        read += 1;
        for (const each of differences(said, decoded, reader)) wrong.push(`${piece.text}: ${each}`);
        if (decoded.of !== 'GSV') continue;
        if (said.inView !== decoded.inView) wrong.push(`${piece.text}: ${reader.name}: ${said.inView} in view`);
        const odd = (said.satellites ?? []).filter((one) => !list.some((other) => isSame(one, other)));
        if (odd.length > 0) wrong.push(`${piece.text}: ${reader.name}: ${JSON.stringify(odd)}`);
      }
      expect(read, reader.name).toBeGreaterThan(100);
    }
    expect(wrong.slice(0, 5)).toEqual([]);
  });
});

/** Reads sentences from standard input, and gives the fields that it knows by name, each as a text. */
const READ_ALL = `
import sys, json, pynmea2
for line in sys.stdin:
    said = pynmea2.parse(line.strip(), check=True)
    values = {field[1]: str(getattr(said, field[1])) for field in said.fields if said.data[said.name_to_idx[field[1]]:]}
    if said.sentence_type in ('GGA', 'RMC'):
        values['latitude'] = str(said.latitude)
        values['longitude'] = str(said.longitude)
    print(json.dumps(values))
`;
const PYTHON = ['/usr/bin/python3', 'python3'].find((path) => spawnSync(path, ['-c', 'import pynmea2']).status === 0);

/** Names of its fields, with what is decoded here for each. */
function forPython(ours: Ours): Record<string, number | string | null> {
  const kn = (mps: number | null) => (mps === null ? null : (mps * 3600) / 1852);
  switch (ours.of) {
    case 'GGA': {
      const { latitudeDeg, longitudeDeg, altitudeMslM, geoidSeparationM, quality, used, hdop } = ours;
      const place = { latitude: latitudeDeg ?? 0, longitude: longitudeDeg ?? 0 };
      const heights = { altitude: altitudeMslM, geo_sep: geoidSeparationM };
      return { ...place, ...heights, gps_qual: quality, num_sats: used, horizontal_dil: hdop };
    }
    case 'RMC': {
      const { latitudeDeg, longitudeDeg, speedMps, courseDeg, status, date } = ours;
      const place = { latitude: latitudeDeg ?? 0, longitude: longitudeDeg ?? 0 };
      const day = date && new Date(Date.UTC(date.year, date.month - 1, date.day)).toISOString().slice(0, 10);
      return { ...place, spd_over_grnd: kn(speedMps), true_course: courseDeg, status, datestamp: day };
    }
    case 'VTG':
      return { spd_over_grnd_kts: kn(ours.speedMps), true_track: ours.courseDeg };
    case 'GSA': {
      const { ids, pdop, hdop, vdop } = ours;
      const used = ids.map((id, i) => [`sv_id${String(i + 1).padStart(2, '0')}`, Number(id)] as const);
      return { ...Object.fromEntries(used), pdop, hdop, vdop };
    }
    case 'GSV': {
      const listed = ours.satellites.flatMap(({ id, elevationDeg, azimuthDeg, cn0DbHz }, i) => [
        [`sv_prn_num_${i + 1}`, Number(id)] as const,
        [`elevation_deg_${i + 1}`, elevationDeg] as const,
        [`azimuth_${i + 1}`, azimuthDeg] as const,
        [`snr_${i + 1}`, cn0DbHz] as const,
      ]);
      return {
        num_messages: ours.total,
        msg_num: ours.number,
        num_sv_in_view: ours.inView,
        ...Object.fromEntries(listed),
      };
    }
    default:
      return {};
  }
}

function pythonDifferences(said: Record<string, string>, ours: Ours): string[] {
  return Object.entries(forPython(ours)).flatMap(([key, own]) => {
    const read = said[key];
    const isBlank = read === undefined || read === '' || read === 'None';
    if (own === null ? isBlank : typeof own === 'string' ? own === read : near(own, read)) return [];
    return [`${key}: reads ${read}, here ${own}`];
  });
}

const near = (own: number, read: string | undefined) => read !== '' && Math.abs(Number(read) - own) <= ARITHMETIC;

describe("Debian's python3-nmea2", () => {
  const isThere = PYTHON !== undefined && hasData(AIRBORNE, FOUR_SYSTEMS);
  it.skipIf(!isThere).each(LOGS)(`reads in %s what is decoded here (needs python3-nmea2) ${NEEDS}`, (log) => {
    // It takes PQ for a maker's own sentence.
    const all = heardIn(dataText(log)).filter(({ sentence }) => sentence.talker !== 'PQ');
    const input = all.map(({ piece }) => piece.text).join('\n');
    const options = { input, encoding: 'utf8', maxBuffer: 1e8 } as const;
    const { stdout, stderr } = spawnSync(PYTHON as string, ['-c', READ_ALL], options);
    expect(stderr).toBe('');
    const answers = stdout.trim().split('\n');
    expect(answers).toHaveLength(all.length);
    const wrong = all.flatMap(({ decoded, piece }, i) => {
      const said = JSON.parse(answers[i] as string) as Record<string, string>;
      return decoded === null ? [] : pythonDifferences(said, decoded).map((each) => `${piece.text}: ${each}`);
    });
    expect(wrong.slice(0, 5)).toEqual([]);
  });
});

describe('recorded streams', () => {
  it.skipIf(!hasData(AIRBORNE, FOUR_SYSTEMS)).each(LOGS)(`%s has an epoch for each RMC ${NEEDS}`, (log, count) => {
    const text = dataText(log);
    const epochs = epochsIn(text);
    expect(text.match(/RMC,/g)).toHaveLength(count);
    expect(epochs).toHaveLength(count);
    for (const epoch of epochs) {
      const times = epoch.sentences.map(({ decoded }) =>
        decoded?.of === 'RMC' || decoded?.of === 'GGA' ? decoded.of : '',
      );
      expect(times.filter((each) => each !== '').sort()).toEqual(['GGA', 'RMC']);
      // What a module counts as used is what its GSA name, up to twelve.
      if (epoch.used !== null) expect(Math.min(12, epoch.usedIds.length)).toBe(Math.min(12, epoch.used));
    }
  });

  it.skipIf(!hasData(AIRBORNE, FOUR_SYSTEMS))(`have nothing wrong but QZSS under PQ, without zeros ${NEEDS}`, () => {
    const codes = (log: string) => {
      const groups = new GroupCheck();
      const found = heardIn(dataText(log)).flatMap((heard) => [...violationsOf(heard), ...groups.put(heard)]);
      return [...new Set(found.map(({ code }) => code))].sort();
    };
    expect(codes(AIRBORNE)).toEqual([]);
    expect(codes(FOUR_SYSTEMS)).toEqual(['leading-zeros', 'variant-talker']);
  });

  it.skipIf(!hasData(CHECKSUMS))(
    'published examples have the checksums computed here (skipped without ../shared/data)',
    () => {
      const lines = dataText(CHECKSUMS).trim().split(/\r?\n/);
      expect(lines.length).toBeGreaterThan(10);
      for (const text of lines) {
        const { checksum, given, expected } = parseSentence(text);
        expect([checksum, given], text).toEqual(['good', expected]);
        expect(parseSentence(text.replace(/\d(?=[^*]*\*)/, (digit) => `${(Number(digit) + 1) % 10}`)).checksum).toBe(
          'bad',
        );
      }
    },
  );
});
