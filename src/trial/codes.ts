/** Codes of errors, and what each means. */
export const TRIAL_ERROR_CODES: Readonly<Record<string, string>> = {};
