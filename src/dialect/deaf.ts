import type { Dialect } from './command.js';

/** The dialect of a module that understands nothing: all that a host sends is noise. */
export const DEAF: Dialect = {
  name: 'none',
  title: 'Understands no command',
  echo: false,
  listen: () => ({
    take: (bytes) =>
      bytes.length === 0
        ? []
        : [{ bytes: bytes.slice(), verdict: 'noise', name: null, replies: [], actions: [], actAfter: 0 }],
    dueMs: Infinity,
    reset: () => {},
  }),
};
