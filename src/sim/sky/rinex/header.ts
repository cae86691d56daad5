import { LodestubError } from '../../../base/error.js';
import { type Layout, parseNumber } from './lines.js';
import type { FourCoefficients, NavigationFile } from './navigation-file.js';

/** What the header of a navigation file says. */
export interface NavigationHeader {
  readonly version: number;
  /** RINEX 2: the letter of the only system. */
  readonly letter: string | null;
  readonly layout: Layout;
  readonly klobuchar: NavigationFile['klobuchar'];
  readonly leapSeconds: number | null;
  /** Index of the line after the header. */
  readonly next: number;
}

/** Type of a RINEX 2 file, and whose records stand in it. */
const SYSTEM_OF_TYPE: Readonly<Record<string, string>> = { N: 'G', G: 'R', H: 'S' };
const OTHER_TYPES: Readonly<Record<string, string>> = {
  O: 'an observation file',
  M: 'a meteorological file',
  C: 'a clock file',
};
const OBSERVATION_HINT = 'Its navigation file has nearly the same name: MN.rnx for MO.rnx, or .20n for .20o.';
const LABEL_COLUMN = 60;

/** @throws LodestubError `navigation.empty`, `navigation.format`, `navigation.version`, `navigation.truncated` */
export function readHeader(lines: readonly string[], name: string): NavigationHeader {
  const { version, type, first } = readFirstLine(lines, name);
  const isTwo = version < 3;
  let alpha: FourCoefficients | null = null;
  let beta: FourCoefficients | null = null;
  let leapSeconds: number | null = null;
  for (let i = first + 1; i < lines.length; i++) {
    const line = lines[i] as string;
    const label = line.slice(LABEL_COLUMN).trim();
    const path = `${name}, line ${i + 1}`;
    const kind = label === 'IONOSPHERIC CORR' ? line.slice(0, 4) : label;
    if (kind === 'GPSA') alpha = four(line, 5, path);
    else if (kind === 'GPSB') beta = four(line, 5, path);
    else if (kind === 'ION ALPHA') alpha = four(line, 2, path);
    else if (kind === 'ION BETA') beta = four(line, 2, path);
    else if (kind === 'LEAP SECONDS') leapSeconds = parseNumber(line.slice(0, 6), path);
    else if (label === 'END OF HEADER') {
      return {
        version,
        letter: isTwo ? (SYSTEM_OF_TYPE[type] ?? null) : null,
        layout: isTwo ? { firstColumn: 22, column: 3 } : { firstColumn: 23, column: 4 },
        klobuchar: alpha === null || beta === null ? null : { alpha, beta },
        leapSeconds: Number.isNaN(leapSeconds) ? null : leapSeconds,
        next: i + 1,
      };
    }
  }
  throw new LodestubError({
    code: 'navigation.truncated',
    path: name,
    expected: 'a header that ends with END OF HEADER',
    received: 'the end of the file',
  });
}

function readFirstLine(lines: readonly string[], name: string) {
  const first = lines.findIndex((line) => line.trim() !== '');
  if (first < 0)
    throw new LodestubError({
      code: 'navigation.empty',
      path: name,
      expected: 'a RINEX navigation file',
      received: 'an empty one',
    });
  const line = lines[first] as string;
  const path = `${name}, line ${first + 1}`;
  if (line.slice(LABEL_COLUMN).trim() !== 'RINEX VERSION / TYPE') {
    const expected = 'the header of a RINEX navigation file (RINEX VERSION / TYPE)';
    throw new LodestubError({ code: 'navigation.format', path, expected, received: JSON.stringify(line.slice(0, 60)) });
  }
  const versionText = line.slice(0, 20).trim();
  const version = Number(versionText);
  if (!(version >= 2 && version < 5)) {
    throw new LodestubError({
      code: 'navigation.version',
      path,
      expected: 'RINEX version 2, 3 or 4',
      received: JSON.stringify(versionText),
    });
  }
  const type = line.charAt(20);
  const isNavigation = version < 3 ? Object.hasOwn(SYSTEM_OF_TYPE, type) : type === 'N';
  if (!isNavigation) {
    const received = OTHER_TYPES[type] ?? `type ${JSON.stringify(type)}`;
    const hint = type === 'O' ? { hint: OBSERVATION_HINT } : {};
    throw new LodestubError({
      code: 'navigation.format',
      path,
      expected: 'a navigation file (type N, G or H)',
      received,
      ...hint,
    });
  }
  return { version, type, first };
}

function four(line: string, column: number, path: string): FourCoefficients | null {
  const at = (i: number) => parseNumber(line.slice(column + 12 * i, column + 12 * (i + 1)), path);
  const values: FourCoefficients = [at(0), at(1), at(2), at(3)];
  return values.some(Number.isNaN) ? null : values;
}
