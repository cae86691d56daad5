import { openModule } from '../../src/index.js';
import { heapBytes, madness } from '../dialect/fuzz.js';
import { say } from './commands-helper.js';
import { roof } from './helper.js';

/** What came of a run under madness. */
export interface FuzzedRun {
  readonly bytes: number;
  readonly commands: number;
  readonly bytesPerS: number;
  /** From a tenth of the way to the end. */
  readonly grownBytes: number;
  /** What the module sent after a while of peace, and an end of line. */
  readonly last: string;
}

/** Sends madness into a module that runs, a chunk a tick, and then one command. */
export async function fuzzRun(dialect: string, seed: number, count: number): Promise<FuzzedRun> {
  let commands = 0;
  const module = await openModule({
    scenario: roof({ duration: '10 h', module: { dialect, baud: 115_200, 'speed-search': { dwell: '2 s' } } }),
    onJournal: (line) => {
      if (line.startsWith('{"type":"command"')) commands++;
    },
  });
  let [bytes, early] = [0, 0];
  const beginMs = performance.now();
  for (const chunk of madness(seed, count)) {
    module.send(chunk);
    module.advance(20);
    module.read();
    bytes += chunk.length;
    if (early === 0 && bytes > count / 10) early = heapBytes();
  }
  const bytesPerS = (1000 * bytes) / (performance.now() - beginMs);
  const grownBytes = heapBytes() - early;
  module.send('\r\n');
  module.advance(70_000);
  module.read();
  module.send(say('CCGPQ,GGA'));
  module.advance(10_000);
  const last = module.read().toString('latin1');
  await module.close();
  return { bytes, commands, bytesPerS, grownBytes, last };
}
