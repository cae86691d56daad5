/** Codes of errors, and what each means. */
export const REPLAY_ERROR_CODES: Readonly<Record<string, string>> = {};
