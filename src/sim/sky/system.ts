/** The satellite systems, in the order in which satellites are listed. */
export const SYSTEM_NAMES = ['gps', 'glonass', 'galileo', 'beidou', 'qzss', 'navic', 'sbas'] as const;

/** A satellite system, named as the scenario does. */
export type SystemName = (typeof SYSTEM_NAMES)[number];

/** As the systems write themselves. */
export const SYSTEM_TITLES: Readonly<Record<SystemName, string>> = {
  gps: 'GPS',
  glonass: 'GLONASS',
  galileo: 'Galileo',
  beidou: 'BeiDou',
  qzss: 'QZSS',
  navic: 'NavIC',
  sbas: 'SBAS',
};

/** The letter by which RINEX names each system's satellites (RINEX 3.04, table A1 and section 3.5). */
export const SYSTEM_LETTERS: Readonly<Record<SystemName, string>> = {
  gps: 'G',
  glonass: 'R',
  galileo: 'E',
  beidou: 'C',
  qzss: 'J',
  navic: 'I',
  sbas: 'S',
};

/** SBAS satellites are numbered by their PRN less this (RINEX 3.04, 3.5). */
export const SBAS_FIRST_PRN = 100;

/** RINEX name of a satellite: G05. SBAS and QZSS: PRN - 100 and PRN - 192. */
export function satelliteId(system: SystemName, number: number): string {
  return `${SYSTEM_LETTERS[system]}${String(number).padStart(2, '0')}`;
}

const BY_LETTER = new Map(SYSTEM_NAMES.map((name) => [SYSTEM_LETTERS[name], name]));

/** The system of a satellite named as RINEX does. */
export function systemOf(id: string): SystemName {
  const system = BY_LETTER.get(id.charAt(0));
  if (system === undefined) throw new Error(`no satellite system has the letter of ${id}`);
  return system;
}
