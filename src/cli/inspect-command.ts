import { atPath } from '../base/at-path.js';
import type { InspectReport, Item } from '../inspect/inspect-report.js';
import { inspectStream, type StreamChunk } from '../inspect/inspect-stream.js';
import { inspectText } from '../inspect/inspect-text.js';
import { openLog, openStandardInput } from '../inspect/log-source.js';
import type { PortSource } from '../inspect/port-source.js';
import type { StreamOptions } from '../inspect/section.js';
import { REPORT_CAUTION } from './caution.js';
import { coloursFor } from './colours.js';
import { checkResultFiles, resultFiles, writeResultFiles } from './result-file.js';
import { Stop } from './session.js';

interface InspectOptions {
  readonly reference?: string;
  readonly baud?: number;
  /** s */
  readonly for?: number;
  readonly json?: string;
  readonly html?: string;
  readonly force?: boolean;
}

/** How long a port is listened to, s, and the speed that it is opened with before the right one is known. */
const LISTEN_S = 60;
const FIRST_BAUD = 9600;

/** The columns that a report is laid out for: what the terminal has, within reason. */
const COLUMNS = { least: 60, usual: 100, most: 120 } as const;

/** `lodestub inspect`. @returns the exit code @throws LodestubError */
export async function inspectCommand(source: string, options: InspectOptions): Promise<number> {
  const reference = options.reference === undefined ? undefined : await referenceFrom(options.reference);
  const files = resultFiles(options);
  const force = options.force === true;
  checkResultFiles(files, force);
  const stop = new Stop('usual');
  let report: InspectReport;
  try {
    report = await inspect(source, options, reference === undefined ? {} : { reference }, stop);
  } finally {
    stop.release();
  }
  process.stdout.write(inspectText(report, styleOf(process.stdout)));
  const isWritten = await writeResultFiles(files, force, async (kind) => [
    kind === 'html' ? await pageOf(report) : JSON.stringify(report, null, 2),
  ]);
  return report.verdict !== 'bad' && isWritten ? 0 : 1;
}

type Known = Pick<StreamOptions, 'reference'>;

async function inspect(source: string, options: InspectOptions, known: Known, stop: Stop): Promise<InspectReport> {
  const { isPortName } = await import('../inspect/port-source.js');
  return source !== '-' && (await isPortName(source))
    ? inspectPort(source, options, known, stop)
    : inspectLog(source, options, known, stop);
}

async function inspectLog(
  source: string,
  { baud, for: forS }: InspectOptions,
  known: Known,
  stop: Stop,
): Promise<InspectReport> {
  const isInput = source === '-';
  const { chunks: all, mayWait, fileMs } = isInput ? openStandardInput(process.stdin) : await openLog(source);
  const chunks = mayWait === true ? until(stop.stopped, all) : all;
  const facts: StreamOptions = {
    ...known,
    name: isInput ? 'standard input' : source,
    kind: isInput ? 'standard-input' : 'file',
    ...(baud === undefined ? {} : { baud }),
    ...(fileMs === undefined ? {} : { fileMs }),
  };
  const limits = { caution: REPORT_CAUTION, isStopped: () => stop.isStopped, ...(forS === undefined ? {} : { forS }) };
  try {
    return await inspectStream(withoutTimes(chunks), facts, limits);
  } finally {
    // A read that nobody waits for any more would keep the process waiting.
    if (isInput) process.stdin.destroy();
  }
}

/** Listens to a port, at the speed that is told or found. */
async function inspectPort(name: string, options: InspectOptions, known: Known, stop: Stop): Promise<InspectReport> {
  const { openSource } = await import('../inspect/port-source.js');
  const { liveChunks } = await import('../inspect/live-chunks.js');
  const { for: forS = LISTEN_S, baud: told } = options;
  const source = await openSource(name, told ?? FIRST_BAUD);
  const openedMs = performance.timeOrigin + performance.now();
  try {
    const isSearched = told === undefined && source.hasSpeed;
    const baud = isSearched ? await searched(source, stop) : told;
    say(`listening to ${name}${baud === undefined ? '' : ` at ${baud} baud`} for ${forS} s; Ctrl-C ends it earlier`);
    const onGone = (why: string) => say(`${name}: ${why}`);
    const chunks = liveChunks(source, { forMs: forS * 1000, isStopped: () => stop.isStopped, onGone });
    const facts: StreamOptions = {
      ...known,
      name,
      kind: 'port',
      isArrivalUtc: true,
      isBaudFound: isSearched,
      ...(baud === undefined ? {} : { baud }),
      // While the speed was looked for, nobody waited for the first byte.
      ...(isSearched ? {} : { openedMs }),
    };
    return await inspectStream(chunks, facts, { caution: REPORT_CAUTION });
  } finally {
    await source.close();
  }
}

/** @throws LodestubError `inspect.no-data`, `inspect.no-speed`, `inspect.port-failed` */
async function searched(source: PortSource, stop: Stop): Promise<number> {
  const { findSpeed, noSpeedError } = await import('../inspect/find-speed.js');
  const { speedLine } = await import('../inspect/port-source.js');
  const found = await findSpeed(speedLine(source, stop.stopped), {
    onTry: (baud) => say(`trying ${baud} baud`),
    isStopped: () => stop.isStopped,
  });
  if (found.baud === null) throw noSpeedError(source.name, found, stop.isStopped);
  return found.baud;
}

function say(text: string): void {
  process.stderr.write(`${text}\n`);
}

/** What comes until something has happened. */
async function* until(end: Promise<void>, items: AsyncIterable<string>): AsyncGenerator<string> {
  const over = end.then(() => ({ done: true, value: undefined }) as const);
  const all = items[Symbol.asyncIterator]();
  for (;;) {
    const next = await Promise.race([all.next(), over]);
    if (next.done === true) return;
    yield next.value;
  }
}

async function* withoutTimes(chunks: AsyncIterable<string>): AsyncGenerator<StreamChunk> {
  for await (const text of chunks) yield { text, atMs: null };
}

async function referenceFrom(text: string): Promise<NonNullable<StreamOptions['reference']>> {
  const { parsePlace } = await import('../scenario/place.js');
  return atPath('--reference', () => parsePlace(text));
}

async function pageOf(report: InspectReport): Promise<string> {
  const { inspectPage } = await import('../inspect/inspect-page.js');
  return inspectPage(report, REPORT_CAUTION);
}

function styleOf(out: NodeJS.WriteStream): Parameters<typeof inspectText>[1] {
  const { isTTY, columns } = out;
  const width = Math.min(COLUMNS.most, Math.max(COLUMNS.least, (isTTY ? columns : undefined) ?? COLUMNS.usual));
  const { green, yellow, red, dim } = coloursFor(out);
  const paints: Readonly<Record<Item['verdict'], (word: string) => string>> = {
    good: green,
    remark: yellow,
    bad: red,
    untested: dim,
  };
  return { columns: width, paint: (verdict, word) => paints[verdict](word) };
}
