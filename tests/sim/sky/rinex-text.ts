/** A header line: its text and its label. */
export function headerLine(text: string, label: string): string {
  return `${text.padEnd(60)}${label}\n`;
}

export function header(version: string, type: string, ...more: readonly string[]): string {
  const first = headerLine(`${version.padStart(9)}${' '.repeat(11)}${type}`, 'RINEX VERSION / TYPE');
  return `${first}${more.join('')}${headerLine('', 'END OF HEADER')}`;
}

/** D19.12, as RINEX prints numbers; null is a blank field. */
export function field(value: number | null, exponent = 'D'): string {
  if (value === null) return ' '.repeat(19);
  const [mantissa, power] = value.toExponential(12).split('e') as [string, string];
  const digits = power.slice(1).padStart(2, '0');
  return `${mantissa}${exponent}${power.charAt(0)}${digits}`.padStart(19);
}

/** A record: what stands before its first number, then three numbers, then four a line. */
export function recordText(begin: string, indent: number, values: readonly (number | null)[], exponent = 'D'): string {
  let text =
    begin +
    values
      .slice(0, 3)
      .map((value) => field(value, exponent))
      .join('');
  for (let i = 3; i < values.length; i += 4) {
    text += `\n${' '.repeat(indent)}${values
      .slice(i, i + 4)
      .map((value) => field(value, exponent))
      .join('')}`;
  }
  return `${text}\n`;
}

/** A record of GPS in the order of RINEX; its first half is G02’s of 2010-07-01, the rest made up. */
export const G02_BEGIN = ' 2 10  7  1  0  0  0.0';
export const G02_VALUES: readonly number[] = [
  0.269108917564e-3, 0.318323145621e-11, 0, 85, 41.4375, 0.525557597442e-8, 1.65772167412, 0.232271850109e-5,
  0.960697804112e-2, 0.61746686697e-5, 5153.59739113, 345_600, -0.558793544769e-8, -1.27458719764, 0.167638063431e-6,
  0.94, 270.0, 2.9, -0.84e-8, 0.2e-9, 1, 1590, 0, 2, 0, -0.17e-7, 85, 338_418, 4,
];

/** R01’s record of 2020-06-24 23:15 UTC: clock, frame’s time, then the axes. */
export const R01_VALUES: readonly number[] = [
  6.355904042721e-5, 9.094947017729e-13, 342_000, 10_908.94238281, 1.407806396484, -1.862645149231e-9, 0,
  -2885.726074219, 2.795855522156, 0, 1, 22_883.53955078, -0.3169984817505, -2.793967723846e-9, 0,
];

/** Values with some of them replaced, by their index. */
export function replaced(values: readonly number[], by: Readonly<Record<number, number>>): number[] {
  return values.map((value, index) => by[index] ?? value);
}
