import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Ecef } from '../../src/base/frames.js';
import { addSeconds, type GpsTime } from '../../src/base/time.js';
import type { SystemName } from '../../src/sim/sky/system.js';

/**
 * The positioning library RTKLIB 2.4.3 as Debian's package `rtklib` has it, by its command rnx2rtkp: written by others,
 * from the systems' control documents. Its conventions, found by trying:
 * - Single point: the first signal of each system alone. From GPS and QZSS L1 it takes TGD, from Galileo E1 the BGD of
 *   E1 and E5b (it uses I/NAV records, data sources with bit 9), from BeiDou B1I TGD1, from NavIC L5 TGD times the
 *   squared ratio of S to L5; from GLONASS nothing, and GLONASS's clocks contain the orbit's eccentricity already.
 * - A record of Galileo counts only once its reference time has passed; of the others the nearest one, up to 2 h away
 *   (GLONASS half an hour, SBAS 6 min).
 * - GPS, QZSS and SBAS share one receiver clock; GLONASS, Galileo, BeiDou and NavIC have an offset each.
 * - It defaults to GPS and GLONASS alone, and to models of ionosphere and troposphere.
 */
export const HAS_POSITIONING_LIBRARY = spawnSync('rnx2rtkp', ['-?']).error === undefined;

/** Its own numbers for systems (rnx2rtkp's configuration, pos1-navsys). */
const SYSTEM_BITS: Readonly<Record<SystemName, number>> = {
  gps: 1,
  sbas: 2,
  glonass: 4,
  galileo: 8,
  qzss: 16,
  beidou: 32,
  navic: 64,
};

/** One epoch that it has solved. */
export interface OutsideFix {
  readonly time: GpsTime;
  readonly position: Ecef;
  readonly satellites: number;
  /** Standard deviations by its own weights, m. */
  readonly sigmaM: readonly [number, number, number];
}

export interface OutsideOptions {
  readonly systems: readonly SystemName[];
  readonly elevationMaskDeg?: number;
  /** brdc: as broadcast; dual-freq: combination of two bands; default: off. */
  readonly ionosphere?: 'off' | 'brdc' | 'dual-freq';
  readonly troposphere?: 'off' | 'saas';
}

/** Solves RINEX files, epoch by epoch, each for itself. */
export function solveOutside(observation: string, navigation: string, options: OutsideOptions): OutsideFix[] {
  const folder = mkdtempSync(join(tmpdir(), 'lodestub-rinex-'));
  try {
    const paths = { obs: join(folder, 'x.obs'), nav: join(folder, 'x.nav'), conf: join(folder, 'x.conf') };
    writeFileSync(paths.obs, observation);
    writeFileSync(paths.nav, navigation);
    return solveFiles(paths.obs, paths.nav, options, paths.conf);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** The same of files; its configuration is written to `conf`. */
export function solveFiles(obs: string, nav: string, options: OutsideOptions, conf: string): OutsideFix[] {
  writeFileSync(conf, configuration(options));
  const text = execFileSync('rnx2rtkp', ['-k', conf, obs, nav], {
    encoding: 'utf8',
    maxBuffer: 2 ** 26,
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  return text
    .split('\n')
    .filter((line) => /^\s*\d/.test(line))
    .map(fixOf);
}

function configuration({ systems, elevationMaskDeg, ionosphere, troposphere }: OutsideOptions): string {
  return [
    'pos1-posmode=single',
    'pos1-frequency=l1+l2',
    `pos1-elmask=${elevationMaskDeg ?? 5}`,
    `pos1-ionoopt=${ionosphere ?? 'off'}`,
    `pos1-tropopt=${troposphere ?? 'off'}`,
    'pos1-sateph=brdc',
    `pos1-navsys=${systems.reduce((sum, name) => sum + SYSTEM_BITS[name], 0)}`,
    'pos1-posopt5=off',
    'out-solformat=xyz',
    'out-outhead=off',
    'out-timesys=gpst',
    'out-timeform=tow',
    'out-timendec=7',
    '',
  ].join('\n');
}

function fixOf(line: string): OutsideFix {
  const field = line.trim().split(/\s+/).map(Number);
  const at = (i: number) => field[i] as number;
  return {
    time: addSeconds({ week: at(0), towS: 0 }, at(1)),
    position: { xM: at(2), yM: at(3), zM: at(4) },
    satellites: at(6),
    sigmaM: [at(7), at(8), at(9)],
  };
}
