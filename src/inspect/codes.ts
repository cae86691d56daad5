/** Codes of errors, and what each means. */
export const INSPECT_ERROR_CODES: Readonly<Record<string, string>> = {};
