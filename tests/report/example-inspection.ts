import { RandomStreams } from '../../src/base/random.js';
import type { InspectReport, PositionPoint } from '../../src/inspect/inspect-report.js';
import { histogram } from '../../src/statistics/histogram.js';
import { horizontalScatter, scatterAboutReference } from '../../src/statistics/horizontal-scatter.js';

/** An invented inspection, to look at pages with; nothing here is evidence of anything. */

const noise = new RandomStreams(5).stream('inspection');

const POINTS: readonly PositionPoint[] = Array.from({ length: 1800 }, (_, i) => ({
  tS: i,
  eastM: 1.1 + 0.9 * Math.sin(i / 300) + 0.5 * noise.normal(),
  northM: -0.6 + 1.4 * Math.cos(i / 410) + 0.6 * noise.normal(),
  upM: 2.5 + 1.8 * Math.sin(i / 350) + 0.8 * noise.normal(),
})).filter(({ tS }) => tS < 900 || tS > 1010);

const expectedAt = (elevationDeg: number) => {
  const s = Math.sin((elevationDeg * Math.PI) / 180);
  return 32.1 + 28.2 * s - 9 * s * s;
};

function binsOf(offDb: number) {
  return Array.from({ length: 16 }, (_, i) => {
    const middle = 5 * i + 7.5;
    const medianDbHz = expectedAt(middle) + offDb + 0.6 * noise.normal();
    const edges = { fromDeg: middle - 2.5, toDeg: middle + 2.5, expectedDbHz: expectedAt(middle) };
    return { ...edges, count: 200 - i * 9, medianDbHz, p10DbHz: medianDbHz - 2, p90DbHz: medianDbHz + 1.5 };
  });
}

const SKY = [
  ['GP', '02', 13, 38, 37],
  ['GP', '05', 9, 78, 33],
  ['GP', '12', 15, 109, 36],
  ['GP', '25', 51, 104, 47],
  ['GP', '29', 78, 46, 49],
  ['GP', '31', 57, 268, 46],
  ['GP', '21', 31, 176, 44],
  ['GL', '65', 42, 320, 43],
  ['GL', '73', 8, 200, null],
  ['GL', '80', 63, 190, 46],
  ['GA', '10', 35, 60, 40],
  ['GA', '12', 22, 290, 24],
] as const;

/** Windows as they may be; most are within what is allowed. */
const APART = { medianOfAllowed: 0.3, p95OfAllowed: 0.8, apart: 2 };

const fix = { epochs: 1800, validEpochs: 1661, validShare: 1661 / 1800, firstFixS: 28.4 };

/** As a page of a receiver on a known place that is well but for some things. */
export function exampleInspection(): InspectReport {
  const scatter = horizontalScatter(POINTS);
  const error = scatterAboutReference(POINTS);
  const line = {
    line: 1204,
    at: '2026-03-01T12:15:02Z',
    text: '$GPRMC,121502.00,A,4706.0004,N,00812.0019,E,0.1,,010326',
  };
  const intervals = Array.from({ length: 1690 }, () => 1000 + 6 * noise.normal());
  return {
    lodestubInspect: 1,
    version: '0.4.0',
    caution: '',
    stream: {
      name: 'field/bench-2026-03-01.nmea',
      kind: 'file',
      baud: 9600,
      isBaudFound: true,
      bytes: 884_210,
      lines: 14_302,
      noiseBytes: 118,
      binaryBytes: 64,
      epochs: 1800,
      hasArrivalTimes: false,
      durationS: 1799,
      firstUtc: '2026-03-01T12:00:00Z',
      lastUtc: '2026-03-01T12:29:59Z',
      isCutOff: true,
      gone: null,
    },
    verdict: 'bad',
    items: [
      {
        key: 'checksums',
        title: 'Checksums',
        verdict: 'bad',
        reason: '3 of 14,302 are wrong, the first on line 1204.',
      },
      {
        key: 'version',
        title: 'Version',
        verdict: 'good',
        reason: 'NMEA 0183 4.10: signal ids in GSV, navigational status in RMC.',
      },
      {
        key: 'antenna.gps',
        title: 'Antenna, GPS',
        verdict: 'good',
        reason: '0.8 dB below the expected curve above 10 deg.',
      },
      {
        key: 'antenna.glonass',
        title: 'Antenna, GLONASS',
        verdict: 'remark',
        reason: '5.2 dB below the expected curve; 3 dB are common.',
      },
      { key: 'position', title: 'Position', verdict: 'good', reason: '95 % of errors within 3.1 m of the reference.' },
      { key: 'delay', title: 'Delay', verdict: 'untested', reason: 'A file does not tell when its bytes came.' },
    ],
    sentences: {
      counts: ['GNRMC', 'GNGGA', 'GPGSV', 'GLGSV', 'GNGSA'].map((address, i) => ({
        address,
        count: 1800 * (1 + (i % 3)),
        badChecksums: i === 0 ? 3 : 0,
        bytes: 132_400 + 1000 * i,
        perEpoch: 1 + (i % 3),
        everyEpochs: i > 1 ? 5 : 1,
      })),
      talkers: ['GN', 'GP', 'GL', 'GA'],
      version: '4.10',
      versionEvidence: ['signal id in GSV', 'navigational status in RMC'],
      checksums: { good: 14_290, bad: 3, absent: 8, malformed: 1, examples: [line] },
      violations: [
        {
          code: 'length',
          weight: 'breach',
          title: 'Longer than 82 characters',
          count: 41,
          addresses: ['GNGSA'],
          examples: [{ ...line, what: '86 characters' }],
        },
      ],
    },
    timing: {
      intervalS: 1,
      source: 'stamps',
      jitterMs: 6.1,
      histogram: histogram(
        intervals.map((intervalMs) => [intervalMs, 1]),
        { from: 975, to: 1025, bins: 25 },
      ).bins,
      gapCount: 1,
      longestGapS: 110,
      gaps: [{ ...line, lastsS: 110 }],
      silentEndS: null,
      stuck: null,
      bytesPerS: 491.3,
      fullestBytesPerS: 870,
      load: 0.512,
      fullestLoad: 0.906,
      delayMs: null,
    },
    fix: {
      ...fix,
      firstFixAt: line,
      losses: 1,
      longestLossS: 110,
      qualities: { 'no fix': 139, GPS: 1661 },
      types: { none: 139, '3D': 1661 },
    },
    satellites: {
      used: { least: 0, median: 9, greatest: 12 },
      inView: { least: 3, median: 12, greatest: 14 },
      hdop: { least: 0.7, median: 0.9, greatest: 99.99 },
      systems: [
        { system: 'gps', talkers: ['GP'], listed: 11, heard: 10, used: 9 },
        { system: 'glonass', talkers: ['GL'], listed: 8, heard: 6, used: 5 },
      ],
      lastSky: {
        at: '2026-03-01T12:29:59Z',
        satellites: SKY.map(([talker, id, elevationDeg, azimuthDeg, cn0DbHz]) => ({
          ...{ system: talker, talker, id, elevationDeg, azimuthDeg, cn0DbHz },
          isUsed: (cn0DbHz ?? 0) > 34,
        })),
      },
    },
    antenna: {
      signals: [
        { system: 'gps', signal: '1', count: 8000, bins: binsOf(-0.8), medianDeviationDb: -0.8, verdict: 'good' },
        { system: 'glonass', signal: '1', count: 4000, bins: binsOf(-5.2), medianDeviationDb: -5.2, verdict: 'remark' },
        { system: 'galileo', signal: '7', count: 3000, bins: binsOf(-2), medianDeviationDb: -2, verdict: 'good' },
      ],
      expected: Array.from({ length: 18 }, (_, i) => ({ elevationDeg: 5 * (i + 1), cn0DbHz: expectedAt(5 * (i + 1)) })),
      weakBelowDb: 4,
      badBelowDb: 8,
      blankShare: 0.03,
      overTime: Array.from({ length: 300 }, (_, i) => ({
        tS: 6 * i,
        medianDbHz: i > 150 && i < 168 ? null : 43 + noise.normal() - (i > 220 ? 6 : 0),
        heard: 10,
      })),
      course: {
        silence: { from: line, lastsS: 102, isToTheEnd: false, fixShare: 0 },
        fall: { from: line, beforeDb: -1.2, afterDb: -7.1 },
      },
    },
    position: {
      about: 'reference',
      zero: 'reference',
      reference: { latitudeDeg: 47.1, longitudeDeg: 8.2, altitudeMslM: 430 },
      isMoving: false,
      count: 1661,
      offset: { eastM: error.meanEastM, northM: error.meanNorthM, upM: 2.5 },
      scatter: { ...scatter, heightDeviationM: 1.6, heightP95M: 3.2 },
      error: { medianM: error.cepM, p95M: error.r95M, largestM: error.maxM, heightP95M: 5.1 },
      drift: { eastMps: 0.0002, northMps: -0.00051 },
      distanceM: null,
      largestSpeedMps: 0.4,
      points: POINTS,
      geoidDeviationM: 0.04,
    },
    motion: {
      slow: { ...APART, windows: 30, toldMps: 0.4, goneMps: 0.5, medianMps: 0.14, p95Mps: 0.3 },
      moving: { ...APART, windows: 80, toldMps: 12.5, goneMps: 6.4, medianMps: 6.1, p95Mps: 8, medianOfAllowed: 4.9 },
      ratio: 0.514,
      courseOffDeg: 0.4,
      unit: null,
      examples: [line],
    },
    agreement: {
      places: [
        {
          ...{ first: 'RMC', second: 'GGA', epochs: 1661, apart: 1660, late: null, examples: [line] },
          ...{ medianM: 5.02, largestM: 5.1, eastM: 3, northM: -4.02 },
        },
      ],
    },
    time: {
      firstDate: '2026-03-01',
      lastDate: '2026-03-01',
      midnights: 0,
      dateStepCount: 1,
      dateSteps: [{ ...line, from: '2026-03-01', to: '2006-07-16', offDays: -7168, rolloverWeeks: 1024 }],
      mixedEpochs: 0,
      stepsBack: 1,
      duplicates: 2,
      leapSeconds: 0,
      secondDecimals: ['2'],
      clockOffsetS: null,
    },
    oddities: [
      {
        id: 'gn-talker',
        severity: 'remark',
        sees: 'Sentences begin with GN, not GP.',
        harm: 'Parsers that look for $GPRMC have shown no position at all.',
        count: 3600,
        examples: [line],
      },
    ],
  };
}
