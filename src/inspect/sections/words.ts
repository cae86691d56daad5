/** `1 sentence`, `12 sentences`. */
export function counted(count: number, what: string, plural = `${what}s`): string {
  return `${grouped(count)} ${count === 1 ? what : plural}`;
}

/** Whole numbers with a thin separator from five digits on: `12,345`. */
export function grouped(count: number): string {
  return count < 10_000 ? String(count) : String(count).replace(/\B(?=(\d{3})+$)/g, ',');
}

/** `12.5 %`; what is not zero is not shown as zero, what is not all is not shown as all. */
export function percent(share: number): string {
  const value = share * 100;
  if (value > 0 && value < 0.1) return 'under 0.1 %';
  if (value > 99.9 && value < 100) return 'over 99.9 %';
  return `${Number(value.toFixed(1))} %`;
}

/** A number to so many decimals, without zeros at its end. */
export function number(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  const short = text.includes('.') ? text.replace(/\.?0+$/, '') : text;
  return short === '-0' ? '0' : short;
}

/** A duration: `0.2 s`, `90 s`, `12 min 5 s`, `3 h 20 min`. */
export function lasting(durationS: number): string {
  if (durationS < 120) return `${number(durationS, durationS < 10 ? 2 : 0)} s`;
  const whole = Math.round(durationS);
  if (whole < 7200) return whole % 60 === 0 ? `${whole / 60} min` : `${Math.floor(whole / 60)} min ${whole % 60} s`;
  const minutes = Math.round(whole / 60);
  return minutes % 60 === 0 ? `${minutes / 60} h` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

/** `a`, `a and b`, `a, b and c`; beyond the most: `a, b and 5 more`. */
export function listed(words: readonly string[], most = 8): string {
  if (words.length > most) return `${words.slice(0, most).join(', ')} and ${words.length - most} more`;
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
