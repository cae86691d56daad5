import { resolveDialect } from '../../src/scenario/dialect.js';
import { NODE_FILES } from '../../src/scenario/files.js';

/** A dialect that uses every feature of the format; for tests alone. */
export const ALL_FEATURES = await resolveDialect('./everything.yaml', import.meta.dirname, NODE_FILES);
