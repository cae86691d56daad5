import { frame } from '../../src/emit/sentences/checksum.js';
import { type OpenModuleOptions, openModule } from '../../src/index.js';
import { type JournalLine, linesOf, type SentenceLine } from './helper.js';

/** A command's line in the journal. */
export interface CommandLine {
  readonly type: 'command';
  readonly atMs: number;
  readonly text?: string;
  readonly base64?: string;
  readonly verdict: string;
  readonly name?: string;
  readonly busy?: boolean;
  readonly answer: readonly Readonly<Record<string, unknown>>[];
  readonly actions: readonly Readonly<Record<string, unknown>>[];
}

/** What a host says, and when, ms. */
export type Script = ReadonlyArray<readonly [atMs: number, bytes: string | Uint8Array]>;

/** A run in which a host spoke. */
export interface Talk {
  readonly bytes: Buffer;
  readonly lines: readonly string[];
  readonly journal: readonly JournalLine[];
  readonly commands: readonly CommandLine[];
}

/** A command of the default dialect as a host sends it. */
export const say = (body: string): string => `${frame(body)}\r\n`;

/** Plays a run in which a host speaks; the time is told in pieces between. */
export async function talk(script: Script, untilMs: number, options: OpenModuleOptions): Promise<Talk> {
  const lines: string[] = [];
  const module = await openModule({ ...options, port: 'memory', onJournal: (line) => lines.push(line) });
  const parts: Buffer[] = [];
  for (const [atMs, bytes] of script) {
    module.advance(atMs - module.nowMs);
    parts.push(module.read());
    module.send(bytes);
  }
  module.advance(untilMs - module.nowMs);
  await module.close();
  parts.push(module.read());
  const journal = lines.map((line) => JSON.parse(line) as JournalLine);
  return { bytes: Buffer.concat(parts), lines, journal, commands: commandsOf(journal) };
}

export function commandsOf(journal: readonly JournalLine[]): CommandLine[] {
  return (journal as readonly { readonly type: string }[]).filter(({ type }) => type === 'command') as CommandLine[];
}

/** When the line's speed changed, and to what. */
export function speedsOf(journal: readonly JournalLine[]): { atMs: number; baud: number }[] {
  const lines = (journal as readonly { readonly type: string }[]).filter(({ type }) => type === 'line');
  return (lines as unknown as { atMs: number; baud: number }[]).map(({ atMs, baud }) => ({ atMs, baud }));
}

/** Answers of the default dialect. */
export function answersOf(journal: readonly JournalLine[]): SentenceLine[] {
  return linesOf(journal, 'sentence').filter(({ text }) => text.startsWith('$PLDB'));
}

/** When sentences of a name began, ms. */
export function timesOf(journal: readonly JournalLine[], name: string): number[] {
  return linesOf(journal, 'sentence')
    .filter(({ text }) => text.slice(3, 6) === name)
    .map(({ startMs }) => startMs);
}

/** Names of the sentences of an epoch, by its time. */
export function namesAt(journal: readonly JournalLine[], atMs: number): string[] {
  const epoch = linesOf(journal, 'epoch').find((line) => line.atMs === atMs);
  return linesOf(journal, 'sentence')
    .filter((line) => line.epoch === epoch?.index && !line.text.startsWith('$P') && line.text.slice(3, 6) !== 'TXT')
    .map(({ text }) => text.slice(3, 6));
}
