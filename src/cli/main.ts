import { Command, CommanderError, InvalidArgumentError, Option } from 'commander';
import { LodestubError } from '../base/error.js';
import { formatQuantity, parseQuantity } from '../base/quantity.js';
import { VERSION } from '../base/version.js';
import { MAX_BAUD, MAX_DURATION_S, MAX_SEED, MIN_BAUD } from '../scenario/bounds.js';
import { CAUTION } from './caution.js';
import { usageError } from './usage-error.js';

/** Exit codes: done; a run found a failure; bad input. */
export const EXIT = { done: 0, failure: 1, input: 2 } as const;

/** Runs the command line. @returns the exit code */
export async function main(argv: readonly string[]): Promise<number> {
  let exitCode: number = EXIT.done;
  // Whoever read what is printed may have gone (run | head -1): that ends nothing. A port on standard output notices
  // by itself.
  for (const stream of [process.stdout, process.stderr]) stream.on('error', () => {});
  const program = build((code) => {
    exitCode = code;
  });
  try {
    await program.parseAsync([...argv]);
    return exitCode;
  } catch (error) {
    const told = error instanceof CommanderError ? usageError(error) : error;
    if (told === null) return (error as CommanderError).exitCode === 0 ? EXIT.done : EXIT.input;
    if (!(told instanceof LodestubError)) throw error;
    process.stderr.write(`${told.message}\n`);
    return EXIT.input;
  }
}

function build(exit: (code: number) => void): Command {
  const program = new Command('lodestub')
    .description(`Stands in for a GNSS receiver module on its serial port.\n\n${CAUTION.replaceAll('\n', ' ')}`)
    .version(VERSION)
    .exitOverride()
    .configureOutput({ outputError: () => {} });

  const seed = whole(`a whole number of 0 to ${MAX_SEED}`, 0, MAX_SEED);
  const baud = whole(`${MIN_BAUD} to ${MAX_BAUD} baud`, MIN_BAUD, MAX_BAUD);
  /** What `run` and `replay` have in common. */
  const playing = (command: Command): Command =>
    command
      .option('--seed <N>', 'seed of all that is random', seed)
      .option('--module <NAME|FILE>', 'module profile in place of the scenario’s')
      .option('--port <PORT>', 'pty, DEVICE, tcp:[HOST:]PORT, udp:HOST:PORT, stdout or file:PATH', 'pty')
      .option('--link <PATH>', 'a symbolic link to the pty, removed at the end')
      .option('--baud <N>', 'line speed in place of the module’s', baud)
      .option('--pace <FACTOR>', 'times real time', factor, 1)
      .option('--for <DURATION>', 'how long: 90 s, 20 min', duration)
      .option('--journal <FILE>', 'write the truth journal there')
      .option('--control <PATH>', 'where the control socket is; default: in a fresh folder, its path is printed')
      .option('--no-control', 'no control socket')
      .option('--force', 'replace output files that are not Lodestub’s own');
  playing(program.command('run'))
    .description('play a scenario on a port, in real time; without SCENARIO the built-in one')
    .argument('[SCENARIO]', 'a file, or a name that "list scenarios" shows')
    .option('--at <PLACE>', 'stand still at "LAT, LON[, HEIGHT]", without a scenario')
    .option('--track <FILE>', 'follow a GPX track, without a scenario; one without times at 5 km/h')
    .action(async (scenario, options) => exit(await (await import('./run-command.js')).runCommand(scenario, options)));

  playing(program.command('replay'))
    .description('play a recorded stream on a port, by the times in it or back to back; faults may act on it')
    .argument('<LOG>', 'a recorded stream, plain or gzip')
    .addOption(new Option('--timing <BY>', 'by the times in its sentences, or by the line').choices(['stamps', 'line']))
    .option('--shift-time <TIME>', 'move its dates: "+1024 weeks", 2027-04-01, 2027-04-01T12:00:00Z or now')
    .option('--longest-gap <DURATION>', 'a longer silence lasts only so long', duration)
    .option('--timeline <FILE>', 'faults that act on it: a YAML file with a timeline, as a scenario has it')
    .action(async (log, options) => exit(await (await import('./replay-command.js')).replayCommand(log, options)));

  program
    .command('write')
    .description('write what the module would send to a file, as fast as it goes')
    .argument('<SCENARIO>', 'a file, or a name that "list scenarios" shows')
    .requiredOption('--out <FILE>', 'the file; one that is not Lodestub’s own is not replaced')
    .option('--seed <N>', 'seed of all that is random', seed)
    .option('--module <NAME|FILE>', 'module profile in place of the scenario’s')
    .option('--for <DURATION>', 'how long: 90 s, 20 min', duration)
    .option('--journal <FILE>', 'write the truth journal there')
    .option('--rinex <FOLDER>', 'write raw measurements and navigation data there, as RINEX 3.04')
    .option('--force', 'replace output files that are not Lodestub’s own')
    .action(async (scenario, options) =>
      exit(await (await import('./write-command.js')).writeCommand(scenario, options)),
    );

  program
    .command('repeat')
    .description('make of a journal a scenario that repeats the run, with what was done by hand in its timeline')
    .argument('<JOURNAL>', 'the journal of a run')
    .requiredOption('--out <FILE>', 'the scenario; a file that exists is not replaced')
    .option('--force', 'replace a file that exists')
    .action(async (journal, options) =>
      exit(await (await import('./repeat-command.js')).repeatCommand(journal, options)),
    );

  program
    .command('check')
    .description('check a scenario and print what it will do')
    .argument('<SCENARIO>', 'a file, or a name that "list scenarios" shows')
    .action(async (scenario) => (await import('./check-command.js')).checkCommand(scenario));

  program
    .command('prove')
    .description('hold a stream against the journal that should account for every byte of it')
    .argument('<JOURNAL>', 'what --journal wrote')
    .argument('<STREAM>', 'the bytes that came from the port')
    .option('--captured', 'the stream may begin later, end earlier and have holes, as where a host lost bytes')
    .action(async (journal, stream, options) =>
      exit(await (await import('./prove-command.js')).proveCommand(journal, stream, options)),
    );

  program
    .command('inspect')
    .description('look at a recorded stream or a live port as on a bench: verdicts with their reasons')
    .argument('<LOG|PORT>', 'a file (.gz too), - for standard input, a serial device, or tcp:HOST:PORT')
    .option('--reference <PLACE>', 'where the antenna truly is: "LAT, LON[, HEIGHT]"')
    .option('--baud <N>', 'line speed; of a port it is found where this is left out', baud)
    .option('--for <DURATION>', 'how long: of a port, default 60 s; of a log its first so long', duration)
    .option('--json <FILE>', 'write the report there as JSON')
    .option('--html <FILE>', 'write the report there: one page that needs nothing else')
    .option('--force', 'replace output files that are not Lodestub’s own')
    .action(async (source, options) =>
      exit(await (await import('./inspect-command.js')).inspectCommand(source, options)),
    );

  program
    .command('trial')
    .description('play the cases of a trial to the host under test, and tell whether it did what is expected')
    .argument('<FILE>', 'a trial')
    .option('--shard <K/N>', 'only part K of N, always the same cases', shard)
    .option('--case <ID...>', 'only these cases')
    .option('--jobs <N>', 'how many at once; default: as many as the machine has cores', whole('1 to 1000', 1, 1000))
    .option('--junit <FILE>', 'write the results there as JUnit XML')
    .option('--json <FILE>', 'write the results there as JSON')
    .option('--html <FILE>', 'write a report there: one page that needs nothing else')
    .option('--keep <FOLDER>', 'keep each case’s journal, stream and output of the host there')
    .option('--merge <FILE...>', 'play nothing: join the JSON results of all shards')
    .option('--list', 'print the ids of the cases, and play none')
    .option('--force', 'replace output files that are not Lodestub’s own')
    .action(async (file, options) => exit(await (await import('./trial-command.js')).trialCommand(file, options)));

  program
    .command('trial-case', { hidden: true })
    .description('play one case, for the trial that started this process')
    .action(async () => exit(await (await import('../trial/case-process.js')).caseProcess()));

  program
    .command('list')
    .description('list what there is')
    .argument('<WHAT>', 'scenarios, modules, dialects, faults, failures, expectations or errors')
    .option('--json', 'as a JSON array')
    .option('--markdown', 'faults: as the page FAULTS.md, with the failures')
    .action(async (what, options) => (await import('./list-command.js')).listCommand(what, options));

  program
    .command('schema')
    .description('print the JSON Schema of a kind of file')
    .argument('[OF]', 'scenario, module, dialect or trial', 'scenario')
    .action(async (of) => (await import('./schema-command.js')).schemaCommand(of));
  return program;
}

function whole(expected: string, min: number, max: number): (text: string) => number {
  return (text) => {
    const value = Number(text);
    if (!/^\d+$/.test(text) || value < min || value > max) throw new InvalidArgumentError(`expected ${expected}.`);
    return value;
  };
}

function shard(text: string): { readonly part: number; readonly of: number } {
  const [, part, of] = (/^(\d{1,5})\/(\d{1,5})$/.exec(text) ?? []).map(Number);
  if (part === undefined || of === undefined || part < 1 || part > of) {
    throw new InvalidArgumentError('expected part K of N, such as 2/8.');
  }
  return { part, of };
}

function factor(text: string): number {
  const value = Number(text);
  if (!(value >= 0.01 && value <= 1000)) throw new InvalidArgumentError('expected a factor from 0.01 to 1000.');
  return value;
}

function duration(text: string): number {
  let durationS: number;
  try {
    durationS = parseQuantity(text, 'duration');
  } catch (error) {
    throw error instanceof LodestubError ? new InvalidArgumentError(`expected ${error.expected}.`) : error;
  }
  if (!(durationS > 0 && durationS <= MAX_DURATION_S)) {
    const longest = formatQuantity(MAX_DURATION_S, 'duration');
    throw new InvalidArgumentError(`expected more than 0 s, up to ${longest}.`);
  }
  return durationS;
}
