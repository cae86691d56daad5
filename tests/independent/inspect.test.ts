import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import { Parser as SignalK } from '@signalk/nmea0183-signalk';
import { GPS } from 'gps';
import { parseNmeaSentence } from 'nmea-simple';
import { describe, expect, it } from 'vitest';
import type { InspectReport } from '../../src/inspect/inspect-report.js';
import { inspectText } from '../inspect/helper.js';

const LOGS = new URL('../../../shared/data/logs/', import.meta.url).pathname;
const NAMES = ['four-system-v410-cold-to-fix.nmea', 'two-system-airborne.nmea.gz'] as const;
const COLD_TO_FIX = `${LOGS}${NAMES[0]}`;
const AIRBORNE = `${LOGS}${NAMES[1]}`;

const PYTHON = '/usr/bin/python3';
const hasPynmea2 = spawnSync(PYTHON, ['-c', 'import pynmea2, statistics']).status === 0;

function textOf(path: string): string {
  const bytes = readFileSync(path);
  return (path.endsWith('.gz') ? gunzipSync(bytes) : bytes).toString('latin1');
}

/** Those that all of them read. */
const TYPES = ['GGA', 'GSA', 'GSV', 'RMC', 'VTG'];
/** Two of them take PQ, under which one log has QZSS, for a maker's own sentence. */
const isPq = (address: string) => address.startsWith('PQ');

/** What parsers of others count in a log. */
interface Counts {
  /** Sentences that they take, by type without talker. */
  readonly types: Readonly<Record<string, number>>;
  readonly badChecksums: number;
  /** GGA with a quality above 0. */
  readonly fixes: number;
  /** Greatest count of satellites used that GGA tells. */
  readonly mostUsed: number;
}

/** The same of our report. */
function countsOf({ sentences, fix, satellites }: InspectReport, isLeftOut = (_address: string) => false): Counts {
  const byType: Record<string, number> = {};
  for (const { address, count } of sentences.counts) {
    const type = address.slice(-3);
    if (TYPES.includes(type) && !isLeftOut(address)) byType[type] = (byType[type] ?? 0) + count;
  }
  return {
    types: byType,
    badChecksums: sentences.checksums.bad + sentences.checksums.malformed,
    fixes: fix.validEpochs,
    mostUsed: satellites.used?.greatest ?? 0,
  };
}

function tally(types: Record<string, number>, type: string): void {
  types[type] = (types[type] ?? 0) + 1;
}

/** By npm gps 0.9.0. */
function byGps(lines: readonly string[]): Counts {
  const types: Record<string, number> = {};
  const counts = { badChecksums: 0, fixes: 0, mostUsed: 0 };
  for (const line of lines) {
    const said = GPS.Parse(line);
    if (said === false) continue;
    if (!said.valid) counts.badChecksums += 1;
    tally(types, said.type as string);
    if (said.type !== 'GGA' || said.quality === null) continue;
    counts.fixes += 1;
    counts.mostUsed = Math.max(counts.mostUsed, said.satellites ?? 0);
  }
  return { types, ...counts };
}

/** By npm nmea-simple 3.3.0, which throws on a wrong checksum. */
function byNmeaSimple(lines: readonly string[]): Counts {
  const types: Record<string, number> = {};
  const counts = { badChecksums: 0, fixes: 0, mostUsed: 0 };
  for (const line of lines) {
    try {
      const said = parseNmeaSentence(line);
      tally(types, said.sentenceId);
      if (said.sentenceId !== 'GGA' || said.fixType === 'none') continue;
      counts.fixes += 1;
      counts.mostUsed = Math.max(counts.mostUsed, said.satellitesInView);
    } catch (error) {
      if (/checksum/i.test((error as Error).message)) counts.badChecksums += 1;
    }
  }
  return { types, ...counts };
}

/** By python3-nmea2 (pynmea2), whose checksum error is told apart. */
const PYNMEA2 = `
import sys, json, pynmea2
types, bad, fixes, most = {}, 0, 0, 0
for line in sys.stdin.read().split('\\r\\n'):
    if not line: continue
    try:
        said = pynmea2.parse(line, check=True)
    except pynmea2.ChecksumError:
        bad += 1
        continue
    except pynmea2.ParseError:
        continue
    if not isinstance(said, pynmea2.TalkerSentence): continue
    types[said.sentence_type] = types.get(said.sentence_type, 0) + 1
    if said.sentence_type == 'GGA' and int(said.gps_qual or 0) > 0:
        fixes += 1
        most = max(most, int(said.num_sats))
print(json.dumps({'types': types, 'badChecksums': bad, 'fixes': fixes, 'mostUsed': most}))
`;

/** Plainly by the published definitions; distances on a flat earth about the mean, with the ellipsoid's radii there. */
const STATISTICS = `
import sys, json, math, statistics, pynmea2
fixes = []
for line in sys.stdin.read().split('\\r\\n'):
    if '$' in line and 'GGA' in line:
        said = pynmea2.parse(line, check=True)
        if int(said.gps_qual or 0) > 0: fixes.append((said.latitude, said.longitude, float(said.altitude)))
lat0 = statistics.fmean(f[0] for f in fixes)
lon0 = statistics.fmean(f[1] for f in fixes)
a, e2 = 6378137.0, 6.69437999014e-3
s = math.sin(math.radians(lat0))
east = [math.radians(f[1] - lon0) * a / math.sqrt(1 - e2 * s * s) * math.cos(math.radians(lat0)) for f in fixes]
north = [math.radians(f[0] - lat0) * a * (1 - e2) / (1 - e2 * s * s) ** 1.5 for f in fixes]
radii = sorted(math.hypot(x, y) for x, y in zip(east, north))
rank = lambda share: radii[math.ceil(share * len(radii)) - 1]
drms = math.sqrt(statistics.pvariance(east) + statistics.pvariance(north))
print(json.dumps({'count': len(fixes), 'cepM': rank(0.5), 'r95M': rank(0.95), 'drmsM': drms, 'twoDrmsM': 2 * drms,
  'heightM': statistics.pstdev(f[2] for f in fixes), 'latitudeDeg': lat0, 'longitudeDeg': lon0}))
`;

function python<T>(program: string, input: string): T {
  const { stdout, stderr, status } = spawnSync(PYTHON, ['-c', program], { input: Buffer.from(input, 'latin1') });
  if (status !== 0) throw new Error(stderr.toString());
  return JSON.parse(stdout.toString()) as T;
}

describe.each([
  ['four-system-v410-cold-to-fix.nmea', COLD_TO_FIX],
  ['two-system-airborne.nmea.gz', AIRBORNE],
])('what inspect counts in ../shared/data/logs/%s (skipped where it is not)', (_name, path) => {
  const isThere = existsSync(path);
  const read = () => {
    const text = textOf(path);
    return { text, lines: text.split('\r\n').filter((line) => line !== ''), report: inspectText(text) };
  };

  it.skipIf(!isThere)('agrees with gps (npm)', () => {
    const { lines, report } = read();
    expect(countsOf(report)).toEqual(byGps(lines));
  });

  it.skipIf(!isThere)('agrees with nmea-simple (npm)', () => {
    const { lines, report } = read();
    expect(countsOf(report, isPq)).toEqual(byNmeaSimple(lines));
  });

  it.skipIf(!isThere)('agrees with @signalk/nmea0183-signalk (npm): positions of GGA', () => {
    const { lines, report } = read();
    const parser = new SignalK();
    const fixes = lines
      .filter((line) => line.slice(3, 6) === 'GGA')
      .map((line) => parser.parse(line)?.updates?.[0]?.values ?? [])
      .filter((values) => {
        const place = values.find((each) => each.path === 'navigation.position')?.value;
        return (place as { latitude: number | null } | null | undefined)?.latitude != null;
      });
    expect(report.fix.validEpochs).toBe(fixes.length);
  });

  it.skipIf(!isThere || !hasPynmea2)('agrees with pynmea2 (skipped without the package python3-nmea2)', () => {
    const { text, report } = read();
    expect(countsOf(report, isPq)).toEqual(python<Counts>(PYNMEA2, text));
  });

  it.skipIf(!isThere)('agrees with gps (npm) when some checksums are made wrong', () => {
    const { lines } = read();
    const spoilt = lines.map((line, i) =>
      i % 7 === 3 ? `${line.slice(0, -1)}${line.endsWith('0') ? '1' : '0'}` : line,
    );
    const { checksums } = inspectText(`${spoilt.join('\r\n')}\r\n`).sentences;
    expect(checksums.bad).toBe(byGps(spoilt).badChecksums);
    expect(checksums.bad).toBe(lines.filter((_, i) => i % 7 === 3).length);
  });
});

describe('the scatter of the four-system log', () => {
  it.skipIf(!existsSync(COLD_TO_FIX) || !hasPynmea2)(
    'is what python3’s statistics gives by the published definitions (skipped without ../shared/data or pynmea2)',
    () => {
      const text = textOf(COLD_TO_FIX);
      const own = inspectText(text).position;
      const other = python<Record<string, number>>(STATISTICS, text);
      /** Flat and ellipsoidal offsets differ by less over tens of metres. */
      const SAME_M = 1e-3;
      expect(own.about).toBe('mean');
      expect(own.count).toBe(other.count);
      for (const key of ['cepM', 'r95M', 'drmsM', 'twoDrmsM'] as const) {
        expect(Math.abs((own.scatter?.[key] as number) - (other[key] as number)), key).toBeLessThan(SAME_M);
      }
      expect(Math.abs((own.scatter?.heightDeviationM as number) - (other.heightM as number))).toBeLessThan(SAME_M);
      /** 1e-8 deg is 1 mm. */
      const SAME_DEG = 1e-8;
      expect(Math.abs((own.reference?.latitudeDeg as number) - (other.latitudeDeg as number))).toBeLessThan(SAME_DEG);
      expect(Math.abs((own.reference?.longitudeDeg as number) - (other.longitudeDeg as number))).toBeLessThan(SAME_DEG);
    },
  );
});
