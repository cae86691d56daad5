/** `1 sentence`, `12,345 sentences`. @param count whole @param plural of `what`, where no `s` makes it */
export function counted(count: number, what: string, plural = `${what}s`): string {
  return `${grouped(count)} ${count === 1 ? what : plural}`;
}

/** A whole number, its thousands parted by commas from five digits on: `9999`, `12,345`. */
export function grouped(count: number): string {
  return Math.abs(count) < 10_000 ? String(count) : String(count).replace(/\B(?=(\d{3})+$)/g, ',');
}

/** A number to so many decimals, without zeros at its end; never `-0`. */
export function number(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  const short = text.includes('.') ? text.replace(/\.?0+$/, '') : text;
  return short === '-0' ? '0' : short;
}

/** How often: `once`, `2 times`, `12,345 times`. */
export function times(count: number): string {
  return count === 1 ? 'once' : counted(count, 'time');
}

/** A number in a row: `1st`, `2nd`, `3rd`, `4th`, `11th`, `32nd`. @param place whole, not below 0 */
export function ordinal(place: number): string {
  const isTeen = Math.floor(place / 10) % 10 === 1;
  const ending = isTeen ? 'th' : (['th', 'st', 'nd', 'rd'][place % 10] ?? 'th');
  return `${grouped(place)}${ending}`;
}

/** `a`, `a and b`, `a, b and c`; beyond the most: `a, b and 5 more`. @param last stands before the last: `and`, `or` */
export function listed(words: readonly string[], most = 8, last = 'and'): string {
  if (words.length > most) return `${words.slice(0, most).join(', ')} ${last} ${words.length - most} more`;
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} ${last} ${words.at(-1)}`;
}
