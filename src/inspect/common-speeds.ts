/** Speeds that serial ports and modules have, the commonest first (common practice), baud. */
export const COMMON_SPEEDS: readonly number[] = [
  9600, 115_200, 4800, 38_400, 57_600, 19_200, 230_400, 460_800, 921_600,
];

/** Up to here hosts commonly try them (common practice), baud. */
const HIGHEST_LISTED = 115_200;

/** Those that hosts commonly try, baud. */
export const LISTED_SPEEDS: readonly number[] = COMMON_SPEEDS.filter((baud) => baud <= HIGHEST_LISTED);

/** The least of them that carries so many bits a second, baud; null: none does. */
export function slowestFor(bitsPerS: number): number | null {
  return [...COMMON_SPEEDS].sort((a, b) => a - b).find((baud) => bitsPerS <= baud) ?? null;
}
