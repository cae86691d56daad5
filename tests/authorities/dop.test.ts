import GPS from 'gps';
import { beforeAll, describe, expect, it } from 'vitest';
import { openModule } from '../../src/index.js';
import { type Direction, type Dop, dopOf } from './dop.js';

const HOUR_MS = 3_600_000;
/** Angles are written in whole degrees. */
const ROUNDING_DEG = 0.5;
/** Dilutions are written with two decimals. */
const PRINTED = 0.005;
/** Places for satellites in GSA: with all of them taken, more may have been used. */
const GSA_PLACES = 12;
/**
 * Rounding errors of angles cancel over many satellites and epochs; a wrong set or weighting of satellites
 * does not.
 */
const MEAN_SHARE = 0.0025;
const RMS_SHARE = 0.012;

const KINDS = ['pdop', 'hdop', 'vdop'] as const;

interface Reading {
  readonly printed: Dop;
  readonly directions: readonly Direction[];
}

interface Hour {
  readonly readings: readonly Reading[];
  readonly epochs: number;
  readonly unfit: number;
}

/** An hour of sentences as the npm library gps reads them: the used satellites' angles beside the dilutions. */
async function hour(at: readonly [number, number, string], seed: number): Promise<Hour> {
  const module = await openModule({
    seed,
    scenario: {
      lodestub: 1,
      start: '2022-02-18T09:30:00Z',
      module: {
        'lodestub-module': 1,
        title: 'Angles and dilutions',
        baud: 38_400,
        boot: '0 s',
        decimals: { dop: 2 },
        sentences: { GSA: 1, GSV: 1 },
        receiver: { 'elevation-mask': '5 deg' },
      },
      receiver: { start: 'hot' },
      route: [{ hold: '1 h', at }],
    },
  });
  module.advance(HOUR_MS + 2000);
  const text = module.read().toString('latin1');
  await module.close();
  return collect(text);
}

function collect(text: string): Hour {
  const readings: Reading[] = [];
  let epochs = 0;
  let unfit = 0;
  let gsa: { ids: readonly number[]; printed: Dop } | null = null;
  let angles = new Map<number, Direction>();
  const finish = () => {
    if (gsa === null) return;
    const { ids, printed } = gsa;
    const directions = ids.map((id) => angles.get(id));
    if (ids.length >= GSA_PLACES || directions.includes(undefined)) unfit++;
    else readings.push({ printed, directions: directions as Direction[] });
  };
  for (const line of text.split('\r\n')) {
    if (!line.startsWith('$') || line.includes('TXT')) continue;
    const sentence = GPS.Parse(line);
    if (sentence === false || !sentence.valid) throw new Error(`not readable: ${line}`);
    if (sentence.type === 'GSA') {
      finish();
      epochs++;
      const { pdop, hdop, vdop, satellites, fix } = sentence;
      if (fix !== '3D') unfit++;
      gsa = fix === '3D' ? { ids: satellites, printed: { pdop: pdop!, hdop: hdop!, vdop: vdop! } } : null;
      angles = new Map();
    } else if (sentence.type === 'GSV') {
      for (const { prn, azimuth, elevation } of sentence.satellites) {
        if (prn !== null && azimuth !== null && elevation !== null) angles.set(prn, [azimuth, elevation]);
      }
    }
  }
  finish();
  return { readings, epochs, unfit };
}

/** The dilutions that angles within half a degree of those given allow. */
function intervals(directions: readonly Direction[]): { middle: Dop; low: Dop; high: Dop } {
  const middle = dopOf(directions);
  const result = { low: { ...middle }, high: { ...middle } };
  const slopes = directions.flatMap((_, i) =>
    [0, 1].map((angle) => {
      const [more, less] = [moved(directions, i, angle, 0.25), moved(directions, i, angle, -0.25)];
      return { more: dopOf(more), less: dopOf(less) };
    }),
  );
  for (const kind of KINDS) {
    const corner = (sign: number) =>
      dopOf(
        directions.map(([azimuth, elevation], i) => [
          azimuth + sign * ROUNDING_DEG * Math.sign(slopes[2 * i]!.more[kind] - slopes[2 * i]!.less[kind]),
          elevation + sign * ROUNDING_DEG * Math.sign(slopes[2 * i + 1]!.more[kind] - slopes[2 * i + 1]!.less[kind]),
        ]),
      )[kind];
    const [most, least] = [corner(1), corner(-1)];
    // How far the two ends are from lying symmetrically is what the second order is worth.
    const curvature = Math.abs(most + least - 2 * middle[kind]);
    result.high[kind] = most + curvature + PRINTED;
    result.low[kind] = least - curvature - PRINTED;
  }
  return { middle, ...result };
}

function moved(directions: readonly Direction[], at: number, angle: number, byDeg: number): Direction[] {
  return directions.map((direction, i) => {
    if (i !== at) return direction;
    const [azimuth, elevation] = direction;
    return angle === 0 ? [azimuth + byDeg, elevation] : [azimuth, elevation + byDeg];
  });
}

const PLACES = [
  ['63 N', [63.4305, 10.3951, '12 m'], 1],
  ['the equator', [0.5, 103.8, '5 m'], 2],
  ['41 S, beside the antimeridian', [-41.29, 174.78, '30 m'], 3],
  ['the north pole', [89.999, 0, '2 m'], 4],
] as const;

describe.each(PLACES)(
  'DOP of an hour at %s, recomputed from GSV’s angles and GSA’s satellites (npm library gps reads them)',
  (_, at, seed) => {
    let heard: Hour;
    beforeAll(async () => {
      heard = await hour(at, seed);
    });

    it('most epochs are fit for it: 3D, all angles listed, not more than GSA has places for', () => {
      expect(heard.epochs).toBe(3600);
      expect(heard.unfit).toBeLessThan(heard.epochs / 4);
      expect(heard.readings.length + heard.unfit).toBe(heard.epochs);
    });

    it('PDOP, HDOP and VDOP lie within what angles in whole degrees allow', () => {
      const wrong: string[] = [];
      for (const [index, { printed, directions }] of heard.readings.entries()) {
        // Angles change by a degree in two minutes: every fifth epoch shows all there is.
        if (index % 5 !== 0) continue;
        const { low, high } = intervals(directions);
        for (const kind of KINDS) {
          if (printed[kind] < low[kind] || printed[kind] > high[kind]) {
            wrong.push(`epoch ${index}: ${kind} ${printed[kind]}, allowed ${low[kind]} to ${high[kind]}`);
          }
        }
      }
      expect(wrong).toEqual([]);
    });

    it('on average they agree within 0.25 %, and in the root mean square within 1.2 %', () => {
      for (const kind of KINDS) {
        const shares = heard.readings.map(({ printed, directions }) => printed[kind] / dopOf(directions)[kind] - 1);
        const mean = shares.reduce((sum, share) => sum + share, 0) / shares.length;
        const rms = Math.sqrt(shares.reduce((sum, share) => sum + share * share, 0) / shares.length);
        expect(Math.abs(mean), `${kind} mean`).toBeLessThan(MEAN_SHARE);
        expect(rms, `${kind} rms`).toBeLessThan(RMS_SHARE);
      }
    });

    it('PDOP squared is HDOP squared plus VDOP squared, as far as two decimals tell', () => {
      for (const { printed } of heard.readings) {
        const { pdop, hdop, vdop } = printed;
        expect(Math.abs(pdop - Math.hypot(hdop, vdop))).toBeLessThan(PRINTED * (1 + Math.SQRT2));
      }
    });
  },
);
