/** The longest that is shown of a value, characters. */
const LONGEST = 60;

/** A value of a report as a message shows it: as JSON, and of a list or a mapping no more than that it is one. */
export function shown(value: unknown): string {
  // A list may be nested too deep to be written out.
  if (typeof value === 'object' && value !== null) return Array.isArray(value) ? 'a list' : 'a mapping';
  const text = JSON.stringify(value) ?? String(value);
  return text.length > LONGEST ? `${text.slice(0, LONGEST - 3)}...` : text;
}
