import { existsSync, readFileSync } from 'node:fs';
import type { AlmanacElements } from './table-20-iv.js';

/** The whole almanac that two entries are quoted of below. */
export const ALMANAC_FILE = new URL('../../../shared/data/almanac/yuma-week2197.txt', import.meta.url).pathname;
export const hasAlmanacFile = existsSync(ALMANAC_FILE);

/**
 * US Coast Guard Navigation Center, YUMA almanac of GPS week 2197, time of applicability 405504 s: two of
 * 31 entries.
 */
export const QUOTED_ALMANAC = `******** Week 149 almanac for PRN-01 ********
ID:                         01
Health:                     000
Eccentricity:               0.1139211655E-001
Time of Applicability(s):  405504.0000
Orbital Inclination(rad):   0.9867355387
Rate of Right Ascen(r/s):  -0.7886042771E-008
SQRT(A)  (m 1/2):           5153.623047
Right Ascen at Week(rad):  -0.1912602899E+001
Argument of Perigee(rad):   0.881498914
Mean Anom(rad):            -0.2769097477E+001
Af0(s):                     0.4291534424E-003
Af1(s/s):                  -0.1091393642E-010
week:                        149

******** Week 149 almanac for PRN-02 ********
ID:                         02
Health:                     000
Eccentricity:               0.2066612244E-001
Time of Applicability(s):  405504.0000
Orbital Inclination(rad):   0.9650920285
Rate of Right Ascen(r/s):  -0.7954617056E-008
SQRT(A)  (m 1/2):           5153.645020
Right Ascen at Week(rad):  -0.2001936308E+001
Argument of Perigee(rad):  -1.441149484
Mean Anom(rad):            -0.2625730195E+001
Af0(s):                    -0.6513595581E-003
Af1(s/s):                   0.0000000000E+000
week:                        149
`;

/** The file's text; the quoted entries where the folder is missing. */
export function almanacText(): string {
  return hasAlmanacFile ? readFileSync(ALMANAC_FILE, 'utf8') : QUOTED_ALMANAC;
}

/** Reads the values by their place in a block of thirteen lines: on purpose not as the program does. */
export function readAlmanac(text: string): AlmanacElements[] {
  return text
    .split(/\*{8} Week.*\n/)
    .slice(1)
    .map((block) => {
      const value = block.split('\n').map((line) => Number(line.split(':')[1]));
      return {
        prn: value[0]!,
        eccentricity: value[2]!,
        toaS: value[3]!,
        inclinationRad: value[4]!,
        nodeRateRadps: value[5]!,
        rootSemiMajor: value[6]!,
        nodeRad: value[7]!,
        perigeeRad: value[8]!,
        meanAnomalyRad: value[9]!,
      };
    });
}
