/** Whether a value out of JSON or YAML is a mapping of keys to values: neither a list nor null. */
export function isMapping(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
