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

/** Clock columns of satellites, by their systems as the library names them. */
const COLUMNS = ['GPS', 'GLONASS', 'Galileo', 'BeiDou'];

interface Reading {
  readonly printed: Dop;
  readonly directions: readonly Direction[];
  readonly clocks: readonly number[];
}

interface Hour {
  readonly readings: readonly Reading[];
  readonly epochs: number;
  readonly unfit: number;
}

/** An hour of sentences as the npm library gps reads them: the used satellites' angles beside the dilutions. */
async function hour(at: readonly [number, number, string], seed: number, systems: readonly string[]): Promise<Hour> {
  const module = await openModule({
    seed,
    scenario: {
      lodestub: 1,
      start: '2022-02-18T09:30:00Z',
      sky: { systems },
      module: {
        'lodestub-module': 1,
        title: 'Angles and dilutions',
        baud: 115_200,
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

/** What an epoch's sentences say: GSA comes before GSV. */
interface Heard {
  readonly printed: Dop | null;
  readonly used: { readonly name: string; readonly clock: number }[];
  readonly angles: Map<string, Direction>;
  isFull: boolean;
}

function collect(text: string): Hour {
  const readings: Reading[] = [];
  let epochs = 0;
  let heard: Heard | null = null;
  const finish = () => {
    if (heard === null) return;
    const { printed, used, angles, isFull } = heard;
    const directions = used.map(({ name }) => angles.get(name));
    if (printed === null || isFull || directions.includes(undefined)) return;
    // Systems that are not used have no column.
    const columns = [...new Set(used.map(({ clock }) => clock))];
    const clocks = used.map(({ clock }) => columns.indexOf(clock));
    readings.push({ printed, directions: directions as Direction[], clocks });
  };
  for (const line of text.split('\r\n')) {
    if (!line.startsWith('$') || line.includes('TXT')) continue;
    const sentence = GPS.Parse(line);
    if (sentence === false || !sentence.valid) throw new Error(`not readable: ${line}`);
    if (sentence.type === 'GSA') {
      const { pdop, hdop, vdop, satellites, fix, system } = sentence;
      if (heard === null || heard.angles.size > 0) {
        finish();
        epochs++;
        const printed = fix === '3D' ? { pdop: pdop!, hdop: hdop!, vdop: vdop! } : null;
        heard = { printed, used: [], angles: new Map(), isFull: false };
      }
      if (satellites.length >= GSA_PLACES) heard.isFull = true;
      for (const prn of satellites) heard.used.push({ name: `${system} ${prn}`, clock: COLUMNS.indexOf(system) });
    } else if (sentence.type === 'GSV' && heard !== null) {
      for (const { prn, azimuth, elevation } of sentence.satellites) {
        if (prn !== null && azimuth !== null && elevation !== null) {
          heard.angles.set(`${sentence.system} ${prn}`, [azimuth, elevation]);
        }
      }
    }
  }
  finish();
  return { readings, epochs, unfit: epochs - readings.length };
}

/** The dilutions that angles within half a degree of those given allow. */
function intervals({ directions, clocks }: Reading): { middle: Dop; low: Dop; high: Dop } {
  const middle = dopOf(directions, clocks);
  const result = { low: { ...middle }, high: { ...middle } };
  const slopes = directions.flatMap((_, i) =>
    [0, 1].map((angle) => {
      const [more, less] = [moved(directions, i, angle, 0.25), moved(directions, i, angle, -0.25)];
      return { more: dopOf(more, clocks), less: dopOf(less, clocks) };
    }),
  );
  for (const kind of KINDS) {
    const corner = (sign: number) =>
      dopOf(
        directions.map(([azimuth, elevation], i) => [
          azimuth + sign * ROUNDING_DEG * Math.sign(slopes[2 * i]!.more[kind] - slopes[2 * i]!.less[kind]),
          elevation + sign * ROUNDING_DEG * Math.sign(slopes[2 * i + 1]!.more[kind] - slopes[2 * i + 1]!.less[kind]),
        ]),
        clocks,
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

const FOUR = ['gps', 'glonass', 'galileo', 'beidou'];

/** Angles change by a degree in two minutes: a few epochs of a minute show all there is. */
const PLACES = [
  ['63 N', [63.4305, 10.3951, '12 m'], 1, ['gps'], 5],
  ['the equator', [0.5, 103.8, '5 m'], 2, ['gps'], 5],
  ['41 S, beside the antimeridian', [-41.29, 174.78, '30 m'], 3, ['gps'], 5],
  ['the north pole', [89.999, 0, '2 m'], 4, ['gps'], 5],
  ['45 N, two systems', [45.1, 7.7, '240 m'], 5, ['gps', 'galileo'], 20],
  ['33 S, four systems', [-33.9, 18.4, '20 m'], 6, FOUR, 60],
] as const;

describe.each(PLACES)(
  'DOP of an hour at %s, recomputed from GSV’s angles and GSA’s satellites (npm library gps reads them)',
  (_, at, seed, systems, every) => {
    let heard: Hour;
    beforeAll(async () => {
      heard = await hour(at, seed, systems);
    });

    it('most epochs are fit for it: 3D, all angles listed, not more than GSA has places for', () => {
      expect(heard.epochs).toBe(3600);
      expect(heard.unfit).toBeLessThan(heard.epochs / 4);
      expect(heard.readings.length + heard.unfit).toBe(heard.epochs);
    });

    it('PDOP, HDOP and VDOP lie within what angles in whole degrees allow', () => {
      const wrong: string[] = [];
      for (const [index, reading] of heard.readings.entries()) {
        if (index % every !== 0) continue;
        const { printed } = reading;
        const { low, high } = intervals(reading);
        for (const kind of KINDS) {
          if (printed[kind] < low[kind] || printed[kind] > high[kind]) {
            wrong.push(`epoch ${index}: ${kind} ${printed[kind]}, allowed ${low[kind]} to ${high[kind]}`);
          }
        }
      }
      expect(wrong).toEqual([]);
    });

    it('on average they agree within 0.25 % (of 1, where they are less), and in the root mean square within 1.2 %', () => {
      for (const kind of KINDS) {
        const shares = heard.readings
          .filter((_, index) => index % every === 0)
          .map(({ printed, directions, clocks }) => printed[kind] / dopOf(directions, clocks)[kind] - 1);
        const mean = shares.reduce((sum, share) => sum + share, 0) / shares.length;
        const rms = Math.sqrt(shares.reduce((sum, share) => sum + share * share, 0) / shares.length);
        // Below 1 the second decimal hides more, and in an hour a small dilution takes only a few printed values.
        const least = Math.min(1, ...heard.readings.map(({ printed }) => printed[kind]));
        expect(Math.abs(mean), `${kind} mean`).toBeLessThan(MEAN_SHARE / least);
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
