import { RandomStreams } from '../../src/base/random.js';
import type { FaultSpan } from '../../src/trial/evidence.js';
import type { Around, CaseResult, DrawnReport, Judged, TrialResult } from '../../src/trial/result.js';

/** Invented cases of a host, to look at pages with; nothing here is evidence of anything. */

const START_DEG = [63.4305, 10.3951] as const;
const M_PER_DEG = 111_400;

const FAULTS: readonly FaultSpan[] = [
  { id: '1.1', kind: 'bad-checksum', beginMs: 40_000, endMs: 70_000, with: { share: 0.25 } },
  { id: '2.1', kind: 'tunnel', beginMs: 110_000, endMs: 140_000, with: {} },
  { id: '3.1', kind: 'jump', beginMs: 170_000, endMs: 176_000, with: { distanceM: 800, bearingDeg: 40 } },
];

/** Where a boat that goes round is, ms since the start. */
function placeAt(atMs: number): { latitudeDeg: number; longitudeDeg: number } {
  const t = atMs / 1000;
  const eastM = 260 * Math.sin(t / 45) + 1.2 * t;
  const northM = 160 * Math.sin(t / 21) + 0.4 * t;
  return {
    latitudeDeg: START_DEG[0] + northM / M_PER_DEG,
    longitudeDeg: START_DEG[1] + eastM / (M_PER_DEG * Math.cos((START_DEG[0] * Math.PI) / 180)),
  };
}

function reportsOf(points: number, isNaive: boolean, seed: number): DrawnReport[] {
  const noise = new RandomStreams(seed).stream('reports');
  const stepMs = 240_000 / points;
  return Array.from({ length: points }, (_, i): DrawnReport | null => {
    const atMs = i * stepMs;
    const inTunnel = atMs >= 110_000 && atMs < 140_000;
    const inJump = atMs >= 170_000 && atMs < 176_000;
    if (inTunnel && !isNaive) return null;
    const lost = inTunnel ? placeAt(110_000) : placeAt(atMs);
    const jumpDeg = inJump && isNaive ? 800 / M_PER_DEG : 0;
    const latitudeDeg = lost.latitudeDeg + (2 * noise.normal()) / M_PER_DEG + jumpDeg;
    const truth = placeAt(atMs);
    const offM = Math.hypot(
      (latitudeDeg - truth.latitudeDeg) * M_PER_DEG,
      (lost.longitudeDeg - truth.longitudeDeg) * 49_800,
    );
    return {
      atMs,
      latitudeDeg,
      longitudeDeg: lost.longitudeDeg,
      truthErrorM: offM,
      moduleErrorM: inTunnel ? null : Math.abs(0.3 * noise.normal()),
    };
  }).filter((report) => report !== null);
}

const AROUND: Around = {
  moment: { atMs: 41_420, what: 'took a position from a sentence whose checksum was wrong', report: 41 },
  sentences: [
    {
      startMs: 41_100,
      endMs: 41_171.354,
      text: '$GPGGA,093041.00,6325.8301,N,01023.7062,E,1,09,0.9,12.4,M,39.6,M,,*5D',
      faults: [],
    },
    {
      startMs: 41_171.354,
      endMs: 41_240.937,
      text: '$GPRMC,093041.00,A,6325.8301,N,01023.7062,E,9.0,043.1,180222,4.1,E,A,V*00',
      faults: ['1.1'],
    },
  ],
  said: [{ atMs: 41_421, from: 'stdout', text: '{"lat":63.43050,"lon":10.39510,"fix":true}' }],
};

function judgedOf(isNaive: boolean): Judged[] {
  const passed = { verdict: 'passed', moments: [], surroundings: [] } as const;
  return [
    {
      ...passed,
      name: 'first fix within 35 s',
      kind: 'first-fix',
      reason: 'after 27.4 s, 35 s allowed',
      measured: 27.4,
      tests: 1,
    },
    {
      ...passed,
      name: 'position within 15 m, 95 %, against the truth',
      kind: 'position',
      reason: '95 % within 4.21 m, 15 m allowed',
      measured: 4.2134,
      tests: 232,
    },
    isNaive
      ? {
          name: 'never uses a damaged sentence',
          kind: 'tell-tale',
          verdict: 'failed',
          reason: 'used 7 of 31 damaged sentences, none allowed',
          measured: 7,
          tests: 31,
          moments: [AROUND.moment, { atMs: 55_100, what: 'took another one', report: 55 }],
          surroundings: [AROUND],
        }
      : {
          ...passed,
          name: 'never uses a damaged sentence',
          kind: 'tell-tale',
          reason: 'used none of 31',
          measured: 0,
          tests: 31,
        },
    {
      name: 'says that it has no fix within 5 s',
      kind: 'no-fix',
      verdict: isNaive ? 'untested' : 'passed',
      reason: isNaive ? 'no report says whether there is a fix' : 'after 1.1 s at most, 5 s allowed',
      measured: isNaive ? null : 1.1,
      tests: isNaive ? 0 : 1,
      moments: [],
      surroundings: [],
    },
  ];
}

/** A case with so many points a layer. */
export function exampleCase(seed: number, isNaive: boolean, points = 240): CaseResult {
  const layer = Array.from({ length: points }, (_, i) => {
    const atMs = (i * 240_000) / points;
    return { atMs, ...placeAt(atMs) };
  });
  const module = layer.filter(({ atMs }) => atMs > 5000 && !(atMs >= 110_000 && atMs < 140_000));
  const faults = isNaive ? 'all' : 'tunnel';
  const reports = reportsOf(points, isNaive, seed);
  return {
    id: `harbour/single-band-9600/seed-${seed}/${faults}`,
    scenario: 'harbour',
    module: 'single-band-9600',
    seed,
    faults,
    verdict: isNaive ? 'failed' : 'passed',
    problem: null,
    judged: judgedOf(isNaive),
    reports: reports.length,
    badReports: isNaive ? 2 : 0,
    otherLines: 1,
    firstOther: 'reader started',
    firstBad: isNaive
      ? { text: '{"lat":63.4305,"lon":', why: 'expected a JSON object, the line ends in the middle' }
      : null,
    startUtc: '2022-02-18T09:30:00Z',
    lengthMs: 240_000,
    tookMs: 24_310,
    command: `lodestub trial trials/harbour.yaml --only harbour/single-band-9600/seed-${seed}/${faults}`,
    drawing: { truth: layer, module, reports, faults: FAULTS },
    lines: Array.from({ length: 6 }, (_, i) => ({
      atMs: 234_000 + i * 1000,
      from: i === 2 ? ('stderr' as const) : ('stdout' as const),
      text: i === 2 ? 'warning: short read' : `{"lat":63.4${i}01,"lon":10.3951,"fix":true}`,
    })),
  };
}

export function exampleTrial(cases: readonly CaseResult[]): TrialResult {
  return {
    lodestubTrial: 1,
    version: '0.4.0',
    title: 'Does the harbour app cope?',
    file: 'trials/harbour.yaml',
    digest: '6c1f0a4be2d97c0f5a11d6f2b9a84c77',
    casesInAll: cases.length,
    casesAsked: cases.length,
    shard: null,
    cases,
  };
}
